"""Addresses below /shelf/, in parts by subject."""

from django.urls import URLPattern

from buckets.urls import bucket, caring, coating, happened, lineage, measuring, reports, rounds, settling

urlpatterns: list[URLPattern] = [
    *rounds.urlpatterns,
    *caring.urlpatterns,
    *lineage.urlpatterns,
    *reports.urlpatterns,
    *coating.urlpatterns,
    *settling.urlpatterns,
    *happened.urlpatterns,
    *measuring.urlpatterns,
    *bucket.urlpatterns,
]
