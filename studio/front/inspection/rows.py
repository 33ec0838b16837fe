"""Small rows of many kinds, asked of the database in one go: it is the asking that costs."""

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
    FilteredRelation,
    OuterRef,
    Q,
    QuerySet,
    Value,
    When,
)
from django.db.models.functions import Cast, Coalesce, Concat, ExtractYear

from buckets.models import Fill
from safety.incidents import with_closed
from safety.models import Acknowledgement, Container, Incident, LeachTest, SafetyCheck
from studio.people.models import Member
from studio.people.models.members import Role
from studio.recipes.models import Recipe

TEXT = CharField(max_length=400)
TEXTS, NUMBERS = ("ref", "name", "more", "also"), ("number", "flag")


class Row(NamedTuple):
    """``kind`` of row; ``ref`` and ``name`` of what it is; two words more, two whole numbers, a moment."""

    kind: str
    ref: str
    name: str
    more: str
    also: str
    number: int | None
    flag: int | None
    at: datetime | None


def small_rows(since: datetime) -> dict[str, list[Row]]:
    """By kind, in one query: what bears a label or a class, leach tests, people with their sign-offs, the
    newest checks, acknowledgements since then, incidents by year.
    """
    asked = (
        *(_open_fills(), _containers(), _versions_in_force(), _leach_tests(), _sign_offs()),
        *(_checks(), _acknowledged(since), _acknowledged_before(since), _incidents()),
    )
    found: dict[str, list[Row]] = {}
    for row in map(Row._make, asked[0].union(*asked[1:], all=True)):
        found.setdefault(row.kind, []).append(row)
    return found


def _open_fills() -> QuerySet[Any]:
    """``number``: the fill's id."""
    rows = Fill.objects.filter(emptied_at=None)
    return _columns(rows, "fill", ref=F("vessel__code"), name=F("glaze"), number=F("pk"))


def _containers() -> QuerySet[Any]:
    """In use; ``number``: the container's id."""
    rows = Container.objects.filter(gone_at=None)
    return _columns(rows, "container", ref=F("pk"), name=F("what"), more=F("kind"), number=F("pk"))


def _versions_in_force() -> QuerySet[Any]:
    """``ref``: the version's id; ``number``: its number."""
    rows = Recipe.objects.filter(state=Recipe.State.CURRENT).exclude(current=None)
    return _columns(rows, "version", ref=F("current_id"), name=F("name"), number=F("current__number"))


def _leach_tests() -> QuerySet[Any]:
    """Those that stand, of versions in force. ``ref``: the version's id; ``number``: the test's; ``more``:
    of what; ``also``: the day of its report and the last one it counts for.
    """
    rows = LeachTest.objects.filter(replaced_by=None, version__recipe__current=F("version"))
    what = Concat(F("clay"), Value("; "), F("firing"), Value("; "), F("laboratory"), output_field=TEXT)
    days = Concat(Cast("reported_on", TEXT), Value(" "), Cast("expires_on", TEXT), output_field=TEXT)
    of = {"ref": F("version_id"), "name": F("version__recipe__name"), "number": F("number")}
    return _columns(rows, "leach test", **of, more=what, also=days)


def _sign_offs() -> QuerySet[Any]:
    """Everybody who works here now, once for each sign-off that is not withdrawn, or once without any.

    ``number``: the person's id; ``ref``: the role; ``more``: signed off for what; ``also``: its last day.
    """
    held = FilteredRelation("sign_offs", condition=Q(sign_offs__withdrawn_at=None))
    rows = Member.objects.filter(is_active=True, left_at=None).exclude(role=Role.ROOM).annotate(held=held)
    until = Coalesce(Cast("held__expires_on", TEXT), Value(""))
    kind = Coalesce("held__kind", Value(""))
    return _columns(rows, "person", ref=F("role"), name=F("name"), more=kind, also=until, number=F("pk"))


def _checks() -> QuerySet[Any]:
    """The newest of each kind, person and place. ``flag``: 1 good, 0 not."""
    standing = SafetyCheck.objects.filter(replaced_by=None).annotate(whose=Coalesce("person_id", 0))
    here = Q(place__iexact=OuterRef("place")) | Q(place="", good=True)  # good without a place: all of them
    same = standing.filter(here, kind=OuterRef("kind"), whose=OuterRef("whose"))
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
    """``more``: the reason; ``also``: for what, by whom."""
    rows = Acknowledgement.objects.filter(at__gte=since)
    said = Concat(F("what"), Value(", by "), Coalesce(F("by__name"), Value("nobody")), output_field=TEXT)
    of = {"ref": F("material_id"), "name": F("material__name"), "more": F("reason")}
    return _columns(rows, "acknowledged", **of, also=said, at=F("at"))


def _acknowledged_before(since: datetime) -> QuerySet[Any]:
    """How many there were before: one row with its ``number``."""
    rows = Acknowledgement.objects.filter(at__lt=since).order_by().values(all=Value(1))
    return _columns(rows, "acknowledged before", number=Count("pk"))


def _incidents() -> QuerySet[Any]:
    """Counted by kind and year, so that old ones cost nothing. ``flag``: how many of them are open."""
    rows = with_closed(Incident.objects.all()).order_by().values("kind", year=ExtractYear("at"))
    still = Count("pk", filter=Q(closed=False))
    return _columns(rows, "incident", ref=F("kind"), name=F("year"), number=Count("pk"), flag=still)


def _columns(rows: QuerySet[Any], kind: str, **given: Any) -> QuerySet[Any]:
    """The rows in the columns that all kinds share."""
    columns = {
        "is_kind": Value(kind, TEXT),
        **{f"is_{name}": Cast(given.get(name, Value("")), TEXT) for name in TEXTS},
        **{f"is_{name}": Cast(given.get(name, Value(None)), BigIntegerField()) for name in NUMBERS},
        "is_at": Cast(given.get("at", Value(None)), DateTimeField()),
    }
    return rows.order_by().annotate(**columns).values_list(*columns)
