"""How fast a glaze settles."""

from django.urls import URLPattern, path

from buckets.views import settling

urlpatterns: list[URLPattern] = [
    path("<str:code>/settling/", settling.observe_settling, name="observe-settling"),
    path("<str:code>/settling/<int:pk>/take-back/", settling.take_back_settling, name="take-back-settling"),
]
