"""The API of this app, in parts by subject: the same acts and questions as its pages."""

from django.urls import URLPattern

from buckets.api import bucket, caring, coating, happened, lineage, measuring, reports, rounds, settling

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
