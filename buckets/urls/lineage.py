"""Fills that go on as others, side cups, swapped labels, a release before the tile."""

from django.urls import URLPattern, path

from buckets.views import cups, lineage, swaps, untiled

urlpatterns: list[URLPattern] = [
    path("fills/<int:number>/", lineage.fill_as_it_was, name="fill"),
    path("cups/<int:pk>/", cups.cup, name="cup"),
    path("cups/<int:pk>/gone/", cups.gone, name="cup-gone"),
    path("cups/<int:pk>/report/", cups.reported, name="report-cup"),
    path("<str:code>/blend/", lineage.blend, name="blend-fill"),
    path("<str:code>/split/", lineage.split, name="split-fill"),
    path("<str:code>/move/", lineage.move, name="move-bucket"),
    path("<str:code>/cup/", cups.make, name="make-cup"),
    path("<str:code>/not-the-picture/", swaps.picture, name="not-the-picture"),
    path("<str:code>/reports/<int:pk>/other/", swaps.other, name="name-other-bucket"),
    path("<str:code>/release-untiled/", untiled.release, name="release-untiled"),
    path("<str:code>/tile/", untiled.judge, name="judge-tile"),
]
