"""Rounds along the shelf."""

from django.urls import URLPattern, path

from buckets.views import rounds

urlpatterns: list[URLPattern] = [
    path("rounds/", rounds.rounds, name="rounds"),
    path("rounds/<int:pk>/", rounds.round_page, name="round"),
    path("rounds/<int:pk>/end/", rounds.end, name="end-round"),
]
