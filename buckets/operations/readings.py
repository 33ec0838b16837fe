"""Readings of a fill: measured, or taken back."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from buckets.models import Care, Fill, Reading
from buckets.operations.measured import Told, columns
from buckets.operations.standing import STANDS, litres, moment, opened, refuse_taking_back, restate
from buckets.repeats import SAME_STIR
from studio import words
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member, SignOff
from studio.people.models.members import Role
from studio.quantities import rounded
from studio.room.calc.filling import litres_by_weight
from studio.room.models import Glass, Hydrometer, Scale

SG_HIGHEST = Decimal("2.2")  # no glaze slurry is denser; common practice, no source


@act("reading recorded", about="fill")
def record_reading(
    *,
    fill: Fill,
    by: Member,
    way: str = "",
    sg: Decimal | None = None,
    u_sg: Decimal | None = None,
    gross_g: Decimal | None = None,
    tare_g: Decimal | None = None,
    water_g: Decimal | None = None,
    glass: Glass | None = None,
    scale: Scale | None = None,
    tare_checked: bool = False,
    as_read: Decimal | None = None,
    modulus: Decimal | None = None,
    hydrometer: Hydrometer | None = None,
    temperature_c: Decimal | None = None,
    depth_cm: Decimal | None = None,
    volume_l: Decimal | None = None,
    bucket_g: Decimal | None = None,
    repeats: Reading | None = None,
    note: str = "",
    raw: str = "",
    key: UUID | None = None,
    at: datetime | None = None,
) -> Reading:
    """Add a reading, measured in one of the ways of ``Reading.Method``, with the level if it was read.

    ``way`` empty: weighed when weights (grams, glass, scale) are given, else typed. The SG and its standard
    uncertainty come from what was measured; a typed SG keeps ``u_sg`` (None: not known). ``depth_cm`` on
    the stick, ``volume_l`` or ``bucket_g`` (the bucket on the scale, gross) restates the litres.
    ``repeats``: the reading of the same stir that this one repeats. A technician's reading, or that of a
    helper signed off for SG, is the studio's check; anybody else's is kept beside it.
    """
    fill = opened(fill)
    refuse_unless(by, rights.USE)
    at = moment(fill, at)
    told = Told(
        sg=sg,
        u_sg=u_sg,
        gross_g=gross_g,
        tare_g=tare_g,
        water_g=water_g,
        glass=glass,
        scale=scale,
        tare_checked=tare_checked,
        as_read=as_read,
        modulus=modulus,
        hydrometer=hydrometer,
        temperature_c=temperature_c,
    )
    measured, field = columns(way, told)
    _refuse_impossible(fill, measured["sg"], field)
    level_l = _level(fill, measured["sg"], depth_cm=depth_cm, volume_l=volume_l, bucket_g=bucket_g)
    is_check = counts_as_check(by)
    if repeats is not None:
        repeats = _repeated(fill, repeats, at, is_check)
    reading = Reading.objects.create(
        fill=fill,
        **measured,
        temperature_c=temperature_c,
        depth_cm=depth_cm,
        bucket_g=bucket_g,
        volume_l=level_l,
        repeats=repeats,
        is_check=is_check,
        note=note,
        raw=raw,
        by=by,
        at=at,
    )
    restate(fill)
    return reading


def _level(
    fill: Fill, sg: Decimal, *, depth_cm: Decimal | None, volume_l: Decimal | None, bucket_g: Decimal | None
) -> Decimal | None:
    """Litres from the depth, as told, or from the bucket's weight; None when none was said."""
    if bucket_g is None:
        return litres(fill.vessel, volume_l=volume_l, depth_cm=depth_cm)
    if depth_cm is not None or volume_l is not None:
        raise Refused("Give the level or the bucket’s weight, not both: which counts?", field="bucket_g")
    if bucket_g <= fill.vessel.empty_g:
        empty = words.mass(fill.vessel.empty_g)
        raise Refused(f"{fill.vessel.code} weighs {empty} empty. Is that with the glaze?", field="bucket_g")
    found = litres_by_weight(gross_g=float(bucket_g), empty_g=float(fill.vessel.empty_g), sg=float(sg))
    if found > fill.vessel.brim_l():
        brim = words.litres(fill.vessel.brim_l())
        raise Refused(
            f"That would be {words.litres(found)}, and {fill.vessel.code} holds {brim} to the brim.",
            field="bucket_g",
        )
    return rounded(found, 3)


def _repeated(fill: Fill, first: Reading, at: datetime, is_check: bool) -> Reading:
    """The reading that is measured once more; refused when it is not one of this stir, or not standing."""
    if first.fill_id != fill.pk or first.sg is None or first.replaces_id:
        raise Refused("That is no reading of this fill.", field="repeats")
    if Reading.objects.filter(replaces=first).exists():
        raise Refused("That reading was taken back; this one stands for itself.", field="repeats")
    if first.is_check != is_check:
        raise Refused("A technician’s reading and a member’s are kept apart.", field="repeats")
    if not same_stir(fill, first, at):
        raise Refused(
            "Something was done to the bucket since, or it is too long ago: this is a reading of its own.",
            field="repeats",
        )
    return first


def same_stir(fill: Fill, first: Reading, at: datetime) -> bool:
    """Whether a reading at ``at`` would be of the same stir: nothing changed the glaze in between."""
    if not first.at <= at <= first.at + SAME_STIR:
        return False
    changed = fill.care.filter(STANDS, kind__in=Care.CHANGES, at__gt=first.at, at__lte=at)
    return not changed.exists()


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


def counts_as_check(by: Member) -> bool:
    """Whether this person's reading is the studio's own: technicians, and helpers signed off for SG."""
    if by.role in (Role.TECHNICIAN, Role.MANAGER):
        return True
    return by.role == Role.HELPER and SignOff.Kind.SG in by.valid_sign_offs


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
