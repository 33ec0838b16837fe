"""The API of the binder and its labels, one module a subject."""

from safety.api import checks, classifications, contact, containers, incidents, labels, sheets

PARTS = (labels, sheets, classifications, contact, incidents, checks, containers)
urlpatterns = [pattern for part in PARTS for pattern in part.urlpatterns]
