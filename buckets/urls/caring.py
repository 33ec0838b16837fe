"""Acts that change what is in a bucket, and the reclaim bucket."""

from django.urls import URLPattern, path

from buckets.views import caring

urlpatterns: list[URLPattern] = [
    path("reclaim/", caring.begin_reclaim, name="begin-reclaim"),
    path("<str:code>/powder/", caring.powder_in, name="powder-in"),
    path("<str:code>/water-off/", caring.water_off, name="water-off"),
    path("<str:code>/additive/", caring.additive_in, name="additive-in"),
    path("<str:code>/thawed/", caring.thaw_fill, name="thaw-fill"),
    path("<str:code>/hard-settled/", caring.loosen, name="loosen"),
    path("<str:code>/reclaim/", caring.pour_into_reclaim, name="pour-into-reclaim"),
]
