"""Small things that wait, of several kinds, asked of the database in one go: it is the asking that costs."""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import BigIntegerField, CharField, Count, DateTimeField, F, QuerySet, Value
from django.db.models.functions import Cast
from django.urls import reverse
from django.utils import timezone

from buckets.models import Round
from studio import words
from studio.calc.days import said_day
from studio.front.due import safety
from studio.front.due.line import Due
from studio.materials.models import Lot
from studio.recipes.models import Version
from studio.room.policy import Policy
from studio.room.queries import glasses_due

MOST = 20  # of each kind


class _Row(NamedTuple):
    """What all of them have: which row, its name, a word more, a whole number, a moment."""

    kind: str
    ref: str
    name: str
    more: str
    count: int | None
    at: datetime | None


def several(now: datetime, rules: Policy, *, begun: bool) -> Iterator[Due]:
    """Rounds under way, lots in quarantine, drafts, glass to weigh with water, spills, checks: one query."""
    checks = [_asked(rows, kind, **columns) for rows, kind, columns in safety.asked(now, rules)]
    parts = [_rounds(), _lots(), _drafts(), _glass(now, rules), *checks]
    rows = [_Row(*row) for row in parts[0].union(*parts[1:], all=True)]
    yield from (SAYS[row.kind](row) for row in rows if row.kind in SAYS)
    yield from safety.lines(rows, now, rules, begun=begun)


def _asked(rows: QuerySet[Any], kind: str, **columns: Any) -> QuerySet[Any]:
    """The first rows of one kind, in the columns that all kinds share."""
    texts = {name: Cast(columns[name], CharField(max_length=250)) for name in ("ref", "name", "more")}
    given = {
        "due_kind": Value(kind, CharField(max_length=250)),
        **{f"due_{name}": text for name, text in texts.items()},
        "due_count": Cast(columns.get("count", Value(None)), BigIntegerField()),
        "due_at": Cast(columns.get("at", Value(None)), DateTimeField()),
    }
    first = rows.model.objects.filter(pk__in=rows.values("pk")[:MOST]).order_by()
    return first.annotate(**given).values_list(*given)


def _rounds() -> QuerySet[Any]:
    rows = Round.objects.filter(ended_at=None).order_by("-id")
    return _asked(rows, "round", ref=F("pk"), name=F("kind"), more=F("by__name"), count=Count("stops"))


def _lots() -> QuerySet[Any]:
    rows = Lot.objects.filter(state=Lot.State.QUARANTINE, on_hand_g__gt=0)
    return _asked(rows, "lot", ref=F("code"), name=F("material__name"), more=F("note"), count=F("on_hand_g"))


def _drafts() -> QuerySet[Any]:
    rows = Version.objects.filter(state=Version.State.DRAFT)
    more, count = F("made_by__name"), F("number")
    return _asked(rows, "draft", ref=F("recipe_id"), name=F("recipe__name"), more=more, count=count)


def _glass(now: datetime, rules: Policy) -> QuerySet[Any]:
    rows = glasses_due(now, rules)
    return _asked(rows, "glass", ref=F("pk"), name=F("name"), more=Value(""), at=F("calibrated_at"))


def _round(row: _Row) -> Due:
    return Due(
        urgency=2,
        icon="clock",
        what=f"{row.name.capitalize()} round: {row.count} bucket{'' if row.count == 1 else 's'} done",
        why=f"Begun by {row.more}. Go on where it was left.",
        address=reverse("round", args=[row.ref]),
    )


def _lot(row: _Row) -> Due:
    on_hand = words.mass(Decimal(row.count or 0).scaleb(-3))
    return Due(
        urgency=6,
        icon="powder",
        what=f"Lot {row.ref}, {row.name}: in quarantine",
        why=f"{on_hand} cannot be weighed until it is released. {row.more}".strip(),
        address=reverse("lot", args=[row.ref]),
    )


def _draft(row: _Row) -> Due:
    return Due(
        urgency=6,
        icon="page",
        what=f"{row.name}, version {row.count}: draft",
        why=f"Made by {row.more}; another technician approves it.",
        address=reverse("recipe", args=[row.ref]),
    )


def _flask(row: _Row) -> Due:
    since = f"on {said_day(timezone.localdate(row.at))}" if row.at else "long ago"
    return Due(
        urgency=6,
        icon="cylinder",
        what=f"{row.name}: weigh it with water again",
        why=f"Its volume was last found {since}; bumps and wear change it.",
        address=reverse("calibrate-glass", args=[row.ref]),
    )


SAYS = {"round": _round, "lot": _lot, "draft": _draft, "glass": _flask}
