"""Addresses of the binder, one module a subject."""

from safety.urls import classifications, containers, sheets

PARTS = (sheets, classifications, containers)
urlpatterns = [pattern for part in PARTS for pattern in part.urlpatterns]
