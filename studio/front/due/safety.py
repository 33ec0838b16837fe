"""Spills that are not closed, and safety checks whose day has come."""

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.db.models import F, IntegerField, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Cast
from django.urls import reverse
from django.utils import timezone

from safety import checks
from safety.calc.checks import Standing
from safety.incidents import spills
from safety.models import SafetyCheck
from studio.front.due.line import Due
from studio.room.policy import Policy

Kind = SafetyCheck.Kind
URGENT = {"not in order": 1, "due": 4, "never": 6}
NAMED = 5  # people by name in one line
Asked = tuple[QuerySet[Any], str, dict[str, Any]]


def asked(now: datetime, rules: Policy) -> list[Asked]:
    """Rows, the word for their kind, and what is asked of each, for the one query of several kinds."""
    own = SafetyCheck.objects.filter(checks.STANDS, kind=Kind.RESPIRATOR, person=OuterRef("pk"))
    last = own.order_by("-at", "-id")
    check = {"ref": F("kind"), "name": F("kind"), "more": F("found"), "at": F("at")}
    person = {"ref": F("pk"), "name": F("name"), "more": Value(""), "at": Subquery(last.values("at")[:1])}
    spill = {"ref": F("number"), "name": F("place"), "more": Value(""), "at": F("at")}
    bad = check | {"name": F("place"), "count": Value(0)}
    return [
        (checks.against(), "against", bad),
        (checks.newest(), "check", check | {"count": Cast(F("good"), IntegerField())}),
        (
            checks.waiting(timezone.localdate(now), rules).order_by("name"),
            "respirator",
            person | {"count": Cast(Subquery(last.values("good")[:1]), IntegerField())},
        ),
        (spills().filter(closed=False), "spill", spill),
    ]


def lines(rows: Iterable[Any], now: datetime, rules: Policy, *, begun: bool) -> Iterator[Due]:
    """What waits of it. ``begun``: the room has vessels, so what was never looked at is worth a line."""
    found: dict[str, list[Any]] = {"against": [], "check": [], "respirator": [], "spill": []}
    for row in rows:
        if row.kind in found:
            found[row.kind].append(row)
    yield from map(_spill, found["spill"])
    yield from (_against(row, now, rules) for row in found["against"])
    bad = {row.ref for row in found["against"]}
    yield from _due((row for row in found["check"] if row.ref not in bad), now, rules)
    if begun:
        yield from _never(bad | {row.ref for row in found["check"]})
    yield from _respirators(found["respirator"], now, rules)


def _spill(row: Any) -> Due:
    where = f" {row.name}" if row.name else ""
    return Due(
        urgency=1,
        icon="wrong",
        what=f"Spill N{int(row.ref):03d}: open",
        why=f"Reported{where}. See to it, say what became of it, close it.",
        address=reverse("spill", args=[row.ref]),
    )


def _stands(row: Any, kind: str, now: datetime, rules: Policy) -> Standing:
    days = checks.days_of(kind, rules)
    return checks.stands(row.at, bool(row.count), days, timezone.localdate(now))


def _against(row: Any, now: datetime, rules: Policy) -> Due:
    """What was found not in order: what may not be used stands before all else."""
    kind, stands = Kind(row.ref), _stands(row, row.ref, now, rules)
    where = f", {row.name}" if row.name else ""
    more = {"place": row.name} if row.name else {}
    return Due(
        urgency=URGENT[stands.word],
        icon="caution",
        what=f"{str(kind.label).capitalize()}{where}: {stands.word}",
        why=f"{checks.not_to_be_used(kind, stands)} {stands.sentence} {row.more}".strip(),
        address=_record(kind, **more),
    )


def _due(rows: Iterable[Any], now: datetime, rules: Policy) -> Iterator[Due]:
    for row in rows:
        kind, stands = Kind(row.ref), _stands(row, row.ref, now, rules)
        if stands.waits:
            yield Due(
                urgency=URGENT[stands.word],
                icon="clock",
                what=f"{str(kind.label).capitalize()}: {stands.word}",
                why=stands.sentence,
                address=_record(kind),
            )


def _record(kind: str, **more: Any) -> str:
    if kind == Kind.CLEANING and not more:
        return reverse("tick-cleaning")
    return f"{reverse('record-check')}?{urlencode({'kind': kind, **more})}"


def _never(seen: set[str]) -> Iterator[Due]:
    """One line for every kind that no check is on record of."""
    missing = [kind for kind in checks.OF_THE_ROOM if kind not in seen]
    if missing:
        named = ", ".join(str(kind.label) for kind in missing)
        yield Due(
            urgency=URGENT["never"],
            icon="clock",
            what="Safety checks never done",
            why=f"No check is on record of: {named}.",
            address=reverse("checks"),
        )


def _respirators(rows: Iterable[Any], now: datetime, rules: Policy) -> Iterator[Due]:
    """One line for everybody's respirator that stands alike."""
    alike: dict[str, list[Any]] = {}
    for row in rows:
        alike.setdefault(_stands(row, Kind.RESPIRATOR, now, rules).word, []).append(row)
    for word, people in alike.items():
        if word not in URGENT:
            continue
        more = f" and {len(people) - NAMED} more" if len(people) > NAMED else ""
        said = "no check on record" if word == "never" else word
        one = {"person": people[0].ref} if len(people) == 1 else None
        yield Due(
            urgency=URGENT[word],
            icon="person",
            what=f"Respirators: {said}",
            why=f"{', '.join(row.name for row in people[:NAMED])}{more}. {_not_worn(word)}".strip(),
            address=_record(Kind.RESPIRATOR, **one) if one else reverse("checks"),
        )


def _not_worn(word: str) -> str:
    return checks.UNTIL_IN_ORDER[Kind.RESPIRATOR] if word == "not in order" else ""
