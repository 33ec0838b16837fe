"""Questions about safety checks: how each stands, whose respirator is due."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from safety.calc.checks import Standing, standing
from safety.models import SafetyCheck
from studio.people.models import Member, SignOff
from studio.people.models.members import Role
from studio.people.queries import people_here
from studio.room.policy import Policy

Kind = SafetyCheck.Kind
OF_THE_ROOM = (Kind.CLEANING, Kind.FILTER, Kind.EXTRACTION, Kind.TRAP)
STANDS = Q(replaced_by=None)
HANDLE_POWDER = (SignOff.Kind.WEIGHING, SignOff.Kind.HAZARDOUS)

# What is looked at. Wet, HEPA and air line: 1910.1053; gauge, level, facial hair: common practice, no source.
LOOK_AT: dict[str, str] = {
    Kind.CLEANING: "Benches and floor wet or by a HEPA vacuum. No dry sweeping, no compressed air.",
    Kind.FILTER: "Seated, whole, not clogged. A HEPA filter holds back 99.97 % at 0.3 µm; change it outside.",
    Kind.EXTRACTION: "The gauge, the hoods, whether a wisp of mist is drawn in.",
    Kind.TRAP: "Emptied before it is full. The sludge is waste or reclaim and never goes down the drain.",
    Kind.RESPIRATOR: "It fits this person, sits on bare skin, and its filters are in date.",
}

# What may not be used or done until it is found in order again: common practice, no source.
UNTIL_IN_ORDER: dict[str, str] = {
    Kind.CLEANING: "Until the room is cleaned wet: no weighing, no dry mixing, no sanding.",
    Kind.FILTER: "Do not use the vacuum or air filter it sits in. Clean wet.",
    Kind.EXTRACTION: "Do not weigh, mix dry, sand or spray where it should draw the dust off.",
    Kind.TRAP: "Do not wash anything out in the sink above it.",
    Kind.RESPIRATOR: "Do not wear it. Whoever it belongs to handles no powder until one fits.",
}


def days_of(kind: str, rules: Policy) -> int:
    """How many days lie between two checks of a kind, by the studio's rules."""
    return int(getattr(rules, f"{kind}_days"))


def not_to_be_used(kind: str, standing: Standing) -> str:
    """What may not be used while a check stands so; "" while nothing is known against it."""
    return UNTIL_IN_ORDER[kind] if standing.word == "not in order" else ""


@dataclass(frozen=True, kw_only=True)
class Looked:
    """A kind of check, its newest row that counts for its day (None: never), what was found not in order
    and is not cleared, and how it stands today."""

    kind: str
    label: str
    look_at: str
    days: int
    last: SafetyCheck | None
    against: list[SafetyCheck]
    standing: Standing

    @property
    def not_to_be_used(self) -> str:
        return not_to_be_used(self.kind, self.standing)


def newest() -> QuerySet[SafetyCheck]:
    """The newest check that stands of each kind that is the room's own; found by index, however many are.

    Cleaning counts when it was the whole room: a part of it says nothing of the rest.
    """
    wanted = Q()
    for kind in OF_THE_ROOM:
        rows = SafetyCheck.objects.filter(STANDS, kind=kind).order_by("-at", "-id")
        if kind == Kind.CLEANING:
            rows = rows.filter(place="")
        wanted |= Q(pk=Subquery(rows.values("pk")[:1]))
    return SafetyCheck.objects.filter(wanted)


def against() -> QuerySet[SafetyCheck]:
    """What was found not in order and has not been looked at since, newest first.

    One vacuum that is in order says nothing of the other: only a later check of the same place speaks for
    it, or a good one of the whole kind (no place).
    """
    later = Q(at__gt=OuterRef("at")) | Q(at=OuterRef("at"), pk__gt=OuterRef("pk"))
    same = Q(place__iexact=OuterRef("place")) | Q(place="", good=True)
    since = SafetyCheck.objects.filter(STANDS, later, same, kind=OuterRef("kind"))
    bad = SafetyCheck.objects.filter(STANDS, good=False, kind__in=OF_THE_ROOM)
    return bad.exclude(Exists(since)).order_by("-at", "-id")


def of_the_room(today: date, rules: Policy) -> list[Looked]:
    """How each kind of check of the room stands: two queries."""
    found = {check.kind: check for check in newest().select_related("by")}
    bad = list(against().select_related("by"))
    return [
        _looked(kind, found.get(kind), [row for row in bad if row.kind == kind], today, rules)
        for kind in OF_THE_ROOM
    ]


def _looked(
    kind: SafetyCheck.Kind, last: SafetyCheck | None, bad: list[SafetyCheck], today: date, rules: Policy
) -> Looked:
    days = days_of(kind, rules)
    counts = bad[0] if bad else last
    return Looked(
        kind=kind.value,
        label=str(kind.label),
        look_at=LOOK_AT[kind],
        days=days,
        last=last,
        against=bad,
        standing=stands(counts.at if counts else None, bool(counts and counts.good), days, today),
    )


def stands(at: datetime | None, good: bool, days: int, today: date) -> Standing:
    """How a check stands that was done at a moment."""
    last = None if at is None else timezone.localdate(at)
    return standing(last=last, good=good, days=days, today=today)


@dataclass(frozen=True, kw_only=True)
class Respirator:
    """Whose respirator, what was found last ("" for nothing), and how it stands today."""

    person: Member
    found: str
    check: int | None
    standing: Standing

    @property
    def not_to_be_used(self) -> str:
        return not_to_be_used(Kind.RESPIRATOR, self.standing)


def wearers(today: date) -> QuerySet[Any]:
    """Who is here and has a check on record, is a technician, or is signed off to handle powder.

    Annotated with ``check_id``, ``check_at``, ``check_good``, ``check_found`` of the newest that stands.
    """
    own = SafetyCheck.objects.filter(STANDS, kind=Kind.RESPIRATOR, person=OuterRef("pk"))
    last = own.order_by("-at", "-id")
    in_force = Q(expires_on=None) | Q(expires_on__gte=today)
    signed = SignOff.objects.filter(
        in_force, member=OuterRef("pk"), kind__in=HANDLE_POWDER, withdrawn_at=None
    )
    taken = {f"check_{name}": Subquery(last.values(name)[:1]) for name in ("id", "at", "good", "found")}
    return (
        people_here()
        .annotate(**taken)
        .filter(Q(role=Role.TECHNICIAN) | Q(check_id__isnull=False) | Exists(signed))
    )


def waiting(today: date, rules: Policy) -> QuerySet[Any]:
    """Of the ``wearers``, those whose respirator has to be seen to now."""
    first = timezone.make_aware(
        datetime.combine(today - timedelta(days=days_of(Kind.RESPIRATOR, rules) - 1), time())
    )
    return wearers(today).filter(Q(check_id=None) | Q(check_good=False) | Q(check_at__lt=first))


def respirators(today: date, rules: Policy) -> list[Respirator]:
    """Everybody's respirator, those that wait first: one query."""
    days = days_of(Kind.RESPIRATOR, rules)
    rows = [
        Respirator(
            person=person,
            found=person.check_found or "",
            check=person.check_id,
            standing=stands(person.check_at, bool(person.check_good), days, today),
        )
        for person in wearers(today).order_by("name")
    ]
    return sorted(rows, key=lambda row: not row.standing.waits)
