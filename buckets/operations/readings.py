"""Readings of a fill: measured, or taken back."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from buckets.models import Fill, Reading
from buckets.operations.standing import litres, moment, opened, refuse_taking_back, restate
from studio import words
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member, SignOff
from studio.people.models.members import Role
from studio.room.measuring import Measured, weighed
from studio.room.models import Glass, Scale

SG_HIGHEST = Decimal("2.2")  # no glaze slurry is denser; common practice, no source
TARE_APART = Decimal("0.02")  # a glass that weighs this share more or less is another one, or not clean


@act("reading recorded", about="fill")
def record_reading(
    *,
    fill: Fill,
    by: Member,
    sg: Decimal | None = None,
    u_sg: Decimal | None = None,
    gross_g: Decimal | None = None,
    tare_g: Decimal | None = None,
    glass: Glass | None = None,
    scale: Scale | None = None,
    tare_checked: bool = False,
    temperature_c: Decimal | None = None,
    depth_cm: Decimal | None = None,
    volume_l: Decimal | None = None,
    note: str = "",
    raw: str = "",
    key: UUID | None = None,
    at: datetime | None = None,
) -> Reading:
    """Add a reading: a known volume weighed (grams, glass, scale) or an SG typed, with the level if read.

    Weights given, the SG and its standard uncertainty come from them; a typed SG keeps ``u_sg`` (None:
    not known). ``depth_cm`` on the stick or ``volume_l`` restates the litres. A technician's reading, or
    that of a helper signed off for SG, is the studio's check; anybody else's is kept beside it.
    """
    fill = opened(fill)
    refuse_unless(by, rights.USE)
    at = moment(fill, at)
    if gross_g is not None:
        tare_g = _tare(glass, tare_g, tare_checked)
        measured = _weighed(gross_g, tare_g, glass, scale)
    elif sg is not None:
        measured, tare_g = Measured(sg=sg, u_sg=u_sg), None
    else:
        raise Refused("Weigh a filled glass, or type the specific gravity.", field="sg")
    _refuse_impossible(fill, measured.sg, "sg" if gross_g is None else "gross_g")
    level_l = litres(fill.vessel, volume_l=volume_l, depth_cm=depth_cm)
    reading = Reading.objects.create(
        fill=fill,
        sg=measured.sg,
        u_sg=measured.u_sg,
        method=Reading.Method.TYPED if gross_g is None else Reading.Method.WEIGHED,
        gross_g=gross_g,
        tare_g=tare_g,
        glass=None if gross_g is None else glass,
        scale=None if gross_g is None else scale,
        temperature_c=temperature_c,
        depth_cm=depth_cm,
        volume_l=level_l,
        is_check=counts_as_check(by),
        note=note,
        raw=raw,
        by=by,
        at=at,
    )
    restate(fill)
    return reading


def counts_as_check(by: Member) -> bool:
    """Whether this person's reading is the studio's own: technicians, and helpers signed off for SG."""
    if by.role in (Role.TECHNICIAN, Role.MANAGER):
        return True
    return by.role == Role.HELPER and SignOff.Kind.SG in by.valid_sign_offs


def _tare(glass: Glass | None, tare_g: Decimal | None, checked: bool) -> Decimal:
    if glass is None:
        raise Refused("Which flask or cylinder was filled?", field="glass")
    if tare_g is None:
        tare_g = glass.empty_g
    if tare_g is None:
        raise Refused(f"What does {glass.name} weigh empty?", field="tare_g")
    if glass.empty_g and not checked and abs(tare_g - glass.empty_g) > TARE_APART * glass.empty_g:
        raise Refused(
            f"{glass.name} weighs {words.grams(glass.empty_g)} empty; {words.grams(tare_g)} was typed. "
            "Another glass, or not clean and dry? If it is right, say so below.",
            field="tare_g",
        )
    return tare_g


def _weighed(gross_g: Decimal, tare_g: Decimal, glass: Glass | None, scale: Scale | None) -> Measured:
    if glass is None or gross_g <= tare_g:
        raise Refused(f"Filled must be more than empty ({words.grams(tare_g)}).", field="gross_g")
    if scale is not None and gross_g > scale.capacity_g:
        raise Refused(f"{scale.name} weighs up to {words.grams(scale.capacity_g)}.", field="gross_g")
    return weighed(gross_g=gross_g, tare_g=tare_g, glass=glass, scale=scale)


def _refuse_impossible(fill: Fill, sg: Decimal, field: str) -> None:
    if not 1 <= sg <= SG_HIGHEST:
        raise Refused(
            f"That makes {words.sg(sg)}; a glaze lies between 1.00 and 2.20. What does the scale say?",
            field=field,
        )
    powder = fill.particle_density
    if powder is not None and sg >= powder:
        raise Refused(
            f"That makes {words.sg(sg)}, as dense as the powder itself ({words.number(powder, 2)} g/mL). "
            "Measure again.",
            field=field,
        )


@act("reading taken back", about="reading")
def take_back_reading(
    *, reading: Reading, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Reading:
    """The reading was wrong: a second row takes it back, and the one before it stands again."""
    fill = opened(reading.fill)
    refuse_taking_back(reading, by)
    if not reason.strip():
        raise Refused("Say what was wrong with it.", field="reason")
    row = Reading.objects.create(
        fill=fill,
        method=reading.method,
        is_check=reading.is_check,
        note=reason.strip(),
        replaces=reading,
        by=by,
        at=at or timezone.now(),
    )
    restate(fill)
    return row
