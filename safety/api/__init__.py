"""The API of the binder and its labels, one module a subject."""

from safety.api import classifications, containers, labels, sheets

PARTS = (labels, sheets, classifications, containers)
urlpatterns = [pattern for part in PARTS for pattern in part.urlpatterns]
