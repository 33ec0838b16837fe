"""Small rows of several kinds, asked of the database in one go: it is the asking that costs."""

from datetime import datetime
from typing import Any, NamedTuple

from django.db.models import (
    BigIntegerField,
    Case,
    CharField,
    Count,
    DateTimeField,
    Exists,
    F,
    OuterRef,
    Q,
    QuerySet,
    Value,
    When,
)
from django.db.models.functions import Cast, Coalesce, Concat, ExtractYear

from buckets.models import Fill
from safety.models import Acknowledgement, Aftermath, Container, Incident, SafetyCheck
from studio.recipes.models import Recipe

TEXT = CharField(max_length=400)


class Row(NamedTuple):
    """``kind`` of row; ``ref`` and ``name`` of what it is; a word more, two whole numbers, a moment."""

    kind: str
    ref: str
    name: str
    more: str
    count: int | None
    flag: int | None
    at: datetime | None


def happened(since: datetime) -> list[Row]:
    """Newest check of each kind, person and place; acknowledgements since then; incidents by year: one query.

    ``flag`` of a check: 1 good, 0 not; of a year of incidents: how many of them are open.
    """
    return _together(_checks(), _acknowledged(since), _incidents())


def bearers() -> list[Row]:
    """What bears a label or a class: open fills, containers in use, recipe versions in force; one query.

    ``count`` is the id of a fill or container, the number of a version.
    """
    open_fills = Fill.objects.filter(emptied_at=None)
    in_use = Container.objects.filter(gone_at=None)
    in_force = Recipe.objects.filter(state=Recipe.State.CURRENT).exclude(current=None)
    name, number = F("name"), F("current__number")
    return _together(
        _columns(open_fills, "fill", ref=F("vessel__code"), name=F("glaze"), count=F("pk")),
        _columns(in_use, "container", ref=F("pk"), name=F("what"), more=F("kind"), count=F("pk")),
        _columns(in_force, "version", ref=F("current_id"), name=name, count=number),
    )


def _checks() -> QuerySet[Any]:
    standing = SafetyCheck.objects.filter(replaced_by=None).annotate(whose=Coalesce("person_id", 0))
    same = standing.filter(kind=OuterRef("kind"), place=OuterRef("place"), whose=OuterRef("whose"))
    later = same.filter(Q(at__gt=OuterRef("at")) | Q(at=OuterRef("at"), pk__gt=OuterRef("pk")))
    return _columns(
        standing.filter(~Exists(later)),
        "check",
        ref=F("kind"),
        name=Coalesce(F("person__name"), F("place")),
        more=F("found"),
        flag=Case(When(good=True, then=Value(1)), default=Value(0)),
        at=F("at"),
    )


def _acknowledged(since: datetime) -> QuerySet[Any]:
    said = Concat(F("what"), Value(": "), F("reason"), output_field=TEXT)
    rows = Acknowledgement.objects.filter(at__gte=since)
    name = F("material__name")
    return _columns(rows, "acknowledged", ref=F("material_id"), name=name, more=said, at=F("at"))


def _incidents() -> QuerySet[Any]:
    """Counted by kind and year, so that old ones cost nothing."""
    closed = Exists(Aftermath.objects.filter(incident=OuterRef("pk"), closes=True))
    rows = Incident.objects.annotate(closed=closed).values("kind", year=ExtractYear("at"))
    still = Count("pk", filter=Q(closed=False))
    return _columns(rows, "incident", ref=F("kind"), name=F("year"), count=Count("pk"), flag=still)


def _columns(rows: QuerySet[Any], kind: str, **given: Any) -> QuerySet[Any]:
    """The rows in the columns that all kinds share."""
    columns = {
        "is_kind": Value(kind, TEXT),
        **{f"is_{name}": Cast(given.get(name, Value("")), TEXT) for name in ("ref", "name", "more")},
        **{f"is_{name}": Cast(given.get(name, Value(None)), BigIntegerField()) for name in ("count", "flag")},
        "is_at": Cast(given.get("at", Value(None)), DateTimeField()),
    }
    return rows.order_by().annotate(**columns).values_list(*columns)


def _together(first: QuerySet[Any], *others: QuerySet[Any]) -> list[Row]:
    return [Row(*row) for row in first.union(*others, all=True)]
