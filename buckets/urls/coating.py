"""Coats, tiles, and what a piece takes."""

from django.urls import URLPattern, path

from buckets.views import coating

urlpatterns: list[URLPattern] = [
    path("<str:code>/coats/", coating.coats, name="coats"),
    path("<str:code>/drag-out/", coating.drag_out, name="drag-out"),
    path("<str:code>/tiles/dip/", coating.record_tile, name="record-tile"),
    path("<str:code>/tiles/<int:pk>/take-back/", coating.take_back_tile, name="take-back-tile"),
]
