"""Vessels: added, changed, moved, put away and back in service."""

import re
from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db import IntegrityError, transaction

from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room.models import Vessel

VESSEL_CODE = r"[A-Za-z0-9][A-Za-z0-9-]{0,11}"
TAKEN_BY_ADDRESSES = frozenset({"add", "litres"})

# What else forbids putting a vessel away: the app that knows what is in it adds its own refusal.
BEFORE_AWAY: list[Callable[[Vessel], None]] = []


@act("vessel added")
def add_vessel(
    *,
    code: str,
    bottom_cm: Decimal,
    top_cm: Decimal,
    height_cm: Decimal,
    empty_g: Decimal,
    offset_l: Decimal = Decimal(0),
    place: str = "",
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Vessel:
    """A bucket with its inner sizes (cm), empty weight (g) and place.

    ``offset_l``: measured litres less the cone's. Refused when the code is taken or unfit, or a size
    is not above 0.
    """
    refuse_unless(by, rights.ROOM)
    if not re.fullmatch(VESSEL_CODE, code):
        raise Refused("A code is at most 12 letters, digits and dashes, like B07.", field="code")
    if code.lower() in TAKEN_BY_ADDRESSES or Vessel.objects.filter(code__iexact=code).exists():
        raise _taken(code)
    _refuse_sizes(bottom_cm, top_cm, height_cm, empty_g, offset_l)
    try:
        with transaction.atomic():
            return Vessel.objects.create(
                code=code,
                bottom_cm=bottom_cm,
                top_cm=top_cm,
                height_cm=height_cm,
                offset_l=offset_l,
                empty_g=empty_g,
                place=place,
            )
    except IntegrityError as error:
        raise _taken(code) from error


@act("vessel changed", about="vessel")
def change_vessel(
    *,
    vessel: Vessel,
    bottom_cm: Decimal,
    top_cm: Decimal,
    height_cm: Decimal,
    empty_g: Decimal,
    offset_l: Decimal = Decimal(0),
    place: str = "",
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Vessel:
    """Sizes measured again. The code stays: labels and the record carry it."""
    refuse_unless(by, rights.ROOM)
    vessel = Vessel.objects.select_for_update().get(pk=vessel.pk)
    _refuse_sizes(bottom_cm, top_cm, height_cm, empty_g, offset_l)
    vessel.bottom_cm, vessel.top_cm, vessel.height_cm = bottom_cm, top_cm, height_cm
    vessel.empty_g, vessel.offset_l, vessel.place = empty_g, offset_l, place
    vessel.save(update_fields=["bottom_cm", "top_cm", "height_cm", "empty_g", "offset_l", "place"])
    return vessel


@act("vessel moved", about="vessel")
def move_vessel(
    *,
    vessel: Vessel,
    place: str,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Vessel:
    """The bucket stands somewhere else now; its label and what is in it stay the same."""
    refuse_unless(by, rights.ROOM)
    vessel = Vessel.objects.select_for_update().get(pk=vessel.pk)
    vessel.place = place
    vessel.save(update_fields=["place"])
    return vessel


@act("vessel put away", about="vessel")
def put_away_vessel(
    *,
    vessel: Vessel,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Vessel:
    """The bucket is not in use for now; its record stays. Refused while something is in it."""
    refuse_unless(by, rights.ROOM)
    vessel = Vessel.objects.select_for_update().get(pk=vessel.pk)
    if vessel.state == Vessel.State.AWAY:
        raise Refused(f"{vessel.code} is away already.")
    for refuse in BEFORE_AWAY:
        refuse(vessel)
    return _set_state(vessel, Vessel.State.AWAY)


@act("vessel back in service", about="vessel")
def bring_back_vessel(
    *,
    vessel: Vessel,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Vessel:
    """A bucket that was put away is used again."""
    refuse_unless(by, rights.ROOM)
    vessel = Vessel.objects.select_for_update().get(pk=vessel.pk)
    if vessel.state == Vessel.State.IN_SERVICE:
        raise Refused(f"{vessel.code} is in service already.")
    return _set_state(vessel, Vessel.State.IN_SERVICE)


def _set_state(vessel: Vessel, state: Vessel.State) -> Vessel:
    vessel.state = state
    vessel.save(update_fields=["state"])
    return vessel


def _refuse_sizes(
    bottom_cm: Decimal, top_cm: Decimal, height_cm: Decimal, empty_g: Decimal, offset_l: Decimal
) -> None:
    for field, value in (("bottom_cm", bottom_cm), ("top_cm", top_cm), ("height_cm", height_cm)):
        if value <= 0:
            raise Refused("An inner size must be more than 0 cm.", field=field)
    if empty_g <= 0:
        raise Refused("An empty bucket weighs more than 0 g.", field="empty_g")
    sizes = Vessel(bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm, offset_l=0)
    if abs(float(offset_l)) > sizes.brim_l() / 4:
        raise Refused(
            "The difference can't be more than a quarter of the bucket. Measure its sizes again.",
            field="offset_l",
        )


def _taken(code: str) -> Refused:
    return Refused(f"There is a vessel {code} already. Give this one another code.", field="code")
