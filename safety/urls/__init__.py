"""Addresses of the binder, one module a subject."""

from safety.urls import checks, classifications, contact, containers, incidents, sheets

PARTS = (sheets, classifications, contact, incidents, checks, containers)
urlpatterns = [pattern for part in PARTS for pattern in part.urlpatterns]
