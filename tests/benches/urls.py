"""The addresses of the app, and under /bare/ the same pages without their thinking."""

from django.urls import include, path

from tests.benches import bare

urlpatterns = [
    path("", include("studio.urls")),
    path("bench/in/", bare.sign_in),
    path("bench/nothing/", bare.nothing),
    path("bench/forget/", bare.forget),
    path("bench/dip/", bare.dip),
    path("bench/pages/", bare.pages),
    path("bench/facts/", bare.facts),
    path("bare/<path:of>", bare.bare),
]
