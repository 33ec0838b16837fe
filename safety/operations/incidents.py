"""Spills and injuries: reported by anybody, added to by those who may read them, never edited.

What was said stands in the incident alone: neither the journal nor a notice repeats it, and the journal
does not tell one kind from the other. Each kind is counted by itself, so no gap tells of the other.
"""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.urls import reverse
from django.utils import timezone

from safety.models import Aftermath, Incident
from studio.errors import Refused
from studio.materials.models import Material
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.people.models.members import Role
from studio.people.operations.notices import tell

PRIVATELY = ("what", "done", "place", "material", "raw")
ADDED_PRIVATELY = ("spill", "injury", "what", "closes", "raw")
LONGEST = {"what": 2000, "done": 1000, "place": 60}
OLDEST = timedelta(days=366)


@act("incident reported", private=PRIVATELY)
def report_spill(
    *,
    what: str,
    done: str = "",
    place: str = "",
    material: Material | None = None,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Incident:
    """Something was spilled. Technicians and managers are told that there is a report, and read it there.

    Refused without a word of what it was, for words too long, and for a time to come.
    """
    refuse_unless(by, rights.STIR)
    told = {"what": what, "done": done, "place": place}
    row = _written(Incident.Kind.SPILL, told, material, by, at, raw)
    _tell(row, (Role.TECHNICIAN, Role.MANAGER), f"A spill was reported: {row}.", "spill", at)
    return row


@act("incident reported", private=PRIVATELY)
def report_injury(
    *,
    what: str,
    done: str = "",
    place: str = "",
    material: Material | None = None,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Incident:
    """Somebody is hurt. Managers are told that there is a report; nobody else reads it, not who wrote it.

    Refused without a word of what happened, for words too long, and for a time to come.
    """
    refuse_unless(by, rights.STIR)
    told = {"what": what, "done": done, "place": place}
    row = _written(Incident.Kind.INJURY, told, material, by, at, raw)
    _tell(row, (Role.MANAGER,), "Something that only managers read was reported.", "injury", at)
    return row


@act("added to an incident", about="spill", private=ADDED_PRIVATELY)
def add_to_spill(
    *,
    spill: Incident,
    what: str,
    closes: bool = False,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Aftermath:
    """What became of a spill. With ``closes`` it is closed; added to again without, it is open again."""
    refuse_unless(by, rights.BINDER)
    return _added(spill, Incident.Kind.SPILL, what, closes, by, at, raw)


@act("added to an incident", about="injury", private=ADDED_PRIVATELY)
def add_to_injury(
    *,
    injury: Incident,
    what: str,
    closes: bool = False,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Aftermath:
    """What became of an injury, for managers alone. Closing as with a spill."""
    refuse_unless(by, rights.PRIVATE)
    return _added(injury, Incident.Kind.INJURY, what, closes, by, at, raw)


def _written(
    kind: str, told: dict[str, str], material: Material | None, by: Any, at: datetime | None, raw: str
) -> Incident:
    texts = {name: text.strip() for name, text in told.items()}
    if not texts["what"]:
        raise Refused("Tap what it is, or say it in a few words.", field="what")
    for name, longest in LONGEST.items():
        if len(texts[name]) > longest:
            raise Refused(f"At most {longest} letters.", field=name)
    when = {"at": at} if at else {}
    if at is not None and at > timezone.now():
        raise Refused("That is still to come.", field="happened_at")
    if at is not None and at < timezone.now() - OLDEST:
        raise Refused("That is more than a year back. Say it in words instead.", field="happened_at")
    number = take_number(kind)
    return Incident.objects.create(
        number=number, kind=kind, material=material, by=by, raw=raw, **texts, **when
    )


def _tell(row: Incident, roles: tuple[str, ...], said: str, page: str, at: datetime | None) -> None:
    people = Member.objects.filter(role__in=roles).exclude(pk=row.by_id or 0)
    address = reverse(page, args=[row.number])
    tell(people.values_list("pk", flat=True), said, address, at=at)


def _added(
    incident: Incident, kind: str, what: str, closes: bool, by: Any, at: datetime | None, raw: str
) -> Aftermath:
    row = Incident.objects.select_for_update().filter(kind=kind).get(pk=incident.pk)
    text = what.strip()
    if not text:
        raise Refused("Say what became of it.", field="what")
    if len(text) > LONGEST["what"]:
        raise Refused(f"At most {LONGEST['what']} letters.", field="what")
    when = {"at": at} if at else {}
    return Aftermath.objects.create(incident=row, what=text, closes=closes, by=by, raw=raw, **when)
