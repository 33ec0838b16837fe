"""Addresses below /shelf/, in parts by subject."""

from django.urls import URLPattern

from buckets.urls import bucket, rounds

urlpatterns: list[URLPattern] = [*rounds.urlpatterns, *bucket.urlpatterns]
