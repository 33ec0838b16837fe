"""Lists of what belongs to one fill."""

from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from buckets.models import Fill
from studio.api_kit import ListOf


class OfFill(ListOf):
    """Rows of one fill, newest first."""

    def narrow(self, rows: QuerySet[Any], **asked: Any) -> QuerySet[Any]:
        return rows.filter(fill=get_object_or_404(Fill, pk=self.kwargs["pk"]))
