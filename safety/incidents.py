"""Questions about spills and injuries. Whoever shows injuries opens the page to managers alone."""

from django.db.models import BooleanField, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from safety.models import Aftermath, Incident

SPILLED = ("dry powder", "wet glaze", "another liquid")
HURT = ("in the eye", "on the skin", "breathed in", "swallowed", "burn or cut")


def with_closed(rows: QuerySet[Incident]) -> QuerySet[Incident]:
    """``rows`` with ``closed``: whether what was added last closes it."""
    last = Aftermath.objects.filter(incident=OuterRef("pk")).order_by("-id").values("closes")[:1]
    return rows.annotate(closed=Coalesce(Subquery(last), Value(False), output_field=BooleanField()))


def spills() -> QuerySet[Incident]:
    """Spills, newest first, for technicians and managers."""
    return with_closed(Incident.objects.filter(kind=Incident.Kind.SPILL))


def injuries() -> QuerySet[Incident]:
    """Injuries, newest first, for managers alone."""
    return with_closed(Incident.objects.filter(kind=Incident.Kind.INJURY))
