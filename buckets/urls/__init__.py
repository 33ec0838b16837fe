"""Addresses below /shelf/, in parts by subject."""

from django.urls import URLPattern

from buckets.urls import bucket

urlpatterns: list[URLPattern] = [*bucket.urlpatterns]
