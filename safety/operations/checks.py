"""Safety checks: each is a row, a wrong one is replaced by another."""

from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.utils import timezone

from safety.models import SafetyCheck
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member

Kind = SafetyCheck.Kind
OLDEST = timedelta(days=800)  # a yearly check written down late; further back is a slip of the finger
LATEST = time(23, 59, 59)  # told by its day, it stands after what was written on that day itself


@act("safety check recorded")
def record_check(
    *,
    kind: str,
    good: bool,
    person: Member | None = None,
    place: str = "",
    found: str = "",
    done_on: date | None = None,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> SafetyCheck:
    """A look at what keeps people safe was done, today or on ``done_on``.

    A respirator's check names whose it is, no other does. One that finds something not in order says what;
    it stands so until a later check of the same place is good, or of all of its kind (no place). Refused
    for a day to come and for one further back than 800 days.
    """
    refuse_unless(by, rights.BINDER)
    if kind not in Kind.values:
        raise Refused("Choose what was looked at.", field="kind")
    _refuse_person(kind, person)
    _refuse_words(good, place, found)
    return SafetyCheck.objects.create(
        kind=kind,
        good=good,
        person=person,
        place=place.strip(),
        found=found.strip(),
        by=by,
        raw=raw,
        **_when(done_on, at),
    )


@act("room cleaned wet")
def tick_cleaning(
    *,
    place: str = "",
    found: str = "",
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> SafetyCheck:
    """Whoever cleaned the room says so: wet or with a HEPA vacuum, nothing swept dry or blown.

    Cleaning only a part (``place``) is kept, and leaves the room due.
    """
    refuse_unless(by, rights.USE)
    _refuse_words(True, place, found)
    return SafetyCheck.objects.create(
        kind=Kind.CLEANING,
        good=True,
        place=place.strip(),
        found=found.strip(),
        by=by,
        raw=raw,
        **_when(None, at),
    )


@act("safety check corrected", about="check")
def correct_check(
    *,
    check: SafetyCheck,
    good: bool,
    place: str = "",
    found: str = "",
    done_on: date | None = None,
    by: Member | None,
    key: UUID | None = None,
    raw: str = "",
) -> SafetyCheck:
    """Another row takes the place of a wrong one; kind and person stay, the day too unless ``done_on``."""
    refuse_unless(by, rights.BINDER)
    old = SafetyCheck.objects.select_for_update().get(pk=check.pk)
    if SafetyCheck.objects.filter(replaces=old).exists():
        raise Refused("It has been corrected already. Open the one that stands.")
    _refuse_words(good, place, found)
    when = _when(done_on, None if done_on else old.at)
    return SafetyCheck.objects.create(
        kind=old.kind,
        good=good,
        person=old.person,
        place=place.strip(),
        found=found.strip(),
        replaces=old,
        by=by,
        raw=raw,
        **when,
    )


def _refuse_person(kind: str, person: Member | None) -> None:
    if kind == Kind.RESPIRATOR and person is None:
        raise Refused("Whose respirator is it?", field="person")
    if kind != Kind.RESPIRATOR and person is not None:
        raise Refused("Only a respirator is one person's. Leave this empty.", field="person")
    if person is not None and (person.is_room or not person.is_active):
        raise Refused("A respirator belongs to somebody who is here.", field="person")


def _refuse_words(good: bool, place: str, found: str) -> None:
    if not good and not found.strip():
        raise Refused("Say what is not in order.", field="found")
    for name, text, longest in (("place", place, 60), ("found", found, 200)):
        if len(text.strip()) > longest:
            raise Refused(f"At most {longest} letters.", field=name)


def _when(done_on: date | None, at: datetime | None) -> dict[str, Any]:
    """The moment it stands at: told, the end of the day told, or now."""
    today = timezone.localdate()
    if done_on is not None and done_on > today:
        raise Refused("That day is still to come.", field="done_on")
    if done_on is not None and done_on < today - OLDEST:
        raise Refused("That is more than 800 days back. Look again.", field="done_on")
    if at is not None:
        return {"at": at}
    if done_on is None or done_on == today:
        return {}
    return {"at": timezone.make_aware(datetime.combine(done_on, LATEST))}
