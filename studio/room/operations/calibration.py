"""Water tells what a glass and a bucket truly hold: a flask calibrated, a bucket's offset measured."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from studio import words
from studio.calc.gravity_doubt import filled_with_water
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded
from studio.room.calc.filling import WaterFill, offset_of_fills
from studio.room.models import Calibration, Glass, Scale, Vessel

FAR_OFF = Decimal("0.1")  # of the volume on the glass: another glass, or a slip; common practice, no source
COLDEST_C, WARMEST_C = Decimal(1), Decimal(40)


@act("glass calibrated", about="glass")
def calibrate_glass(
    *,
    glass: Glass,
    scale: Scale,
    empty_g: Decimal,
    full_g: Decimal,
    temperature_c: Decimal,
    reading_ml: Decimal,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Calibration:
    """A glass weighed empty and filled to its mark with water of a known temperature (1 to 40 C).

    Its volume is the net grams over the water's density; its tolerance comes from the scale's step and
    ``reading_ml``, how closely (half-width) the mark could be met. Volume, tolerance and empty weight of
    the glass follow. Refused when the volume is more than a tenth away from what the glass is said to hold.
    """
    refuse_unless(by, rights.ROOM)
    glass = Glass.objects.select_for_update().get(pk=glass.pk)
    at = at or timezone.now()
    _refuse_weights(scale, empty_g, full_g)
    _refuse_warmth(temperature_c)
    if not 0 < reading_ml <= glass.volume_ml / 20:
        raise Refused(
            "How closely the mark was met is more than 0 mL and a small part of it.", field="reading_ml"
        )
    found = filled_with_water(
        net_g=float(full_g - empty_g),
        temperature_c=float(temperature_c),
        tol_scale_g=float(scale.division_g),
        tol_reading_ml=float(reading_ml),
    )
    volume_ml, tolerance_ml = rounded(found.volume_ml, 3), rounded(found.tolerance_ml, 3)
    if abs(volume_ml - glass.volume_ml) > FAR_OFF * glass.volume_ml:
        raise Refused(
            f"That makes {words.number(volume_ml, 1)}{words.GAP}mL, and {glass.name} is said to hold "
            f"{words.number(glass.volume_ml, 1)}{words.GAP}mL. Another glass, or a weight mistyped?",
            field="full_g",
        )
    row = Calibration.objects.create(
        glass=glass,
        scale=scale,
        empty_g=empty_g,
        full_g=full_g,
        temperature_c=temperature_c,
        volume_ml=volume_ml,
        tolerance_ml=tolerance_ml,
        raw=raw,
        by=by,
        at=at,
    )
    glass.volume_ml, glass.tolerance_ml, glass.empty_g = volume_ml, tolerance_ml, empty_g
    glass.calibrated_at = at
    glass.save(update_fields=["volume_ml", "tolerance_ml", "empty_g", "calibrated_at"])
    return row


@act("offset measured", about="vessel")
def measure_offset(
    *,
    vessel: Vessel,
    low_cm: Decimal,
    low_g: Decimal,
    high_cm: Decimal,
    high_g: Decimal,
    temperature_c: Decimal = Decimal(20),
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Vessel:
    """A bucket weighed with water at two depths: what its foot and corners add to the cone, or take.

    Depths on the stick in cm, gross weights in g with the bucket, water at 0 to 40 C. Refused when the two
    fills disagree: then its inner sizes are wrong, and no constant mends that.
    """
    refuse_unless(by, rights.ROOM)
    vessel = Vessel.objects.select_for_update().get(pk=vessel.pk)
    _refuse_warmth(temperature_c)
    fills = [
        _fill(vessel, *low, temperature_c) for low in (("low", low_cm, low_g), ("high", high_cm, high_g))
    ]
    if high_cm - low_cm < vessel.height_cm / 4:
        raise Refused("Take two depths at least a quarter of the bucket's height apart.", field="high_cm")
    found = offset_of_fills(fills=fills, **vessel._sizes())
    if not found.agree:
        raise Refused(
            f"The two fills say {words.signed(found.low_l, 'L')} and {words.signed(found.high_l, 'L')}: more "
            "apart than depths read to 2 mm can be. Measure the inner sizes again.",
            field="high_g",
        )
    if abs(found.offset_l) > vessel_without_offset(vessel).brim_l() / 4:
        raise Refused("That is more than a quarter of the bucket. Measure its sizes again.", field="high_g")
    vessel.offset_l = rounded(found.offset_l, 3)
    vessel.save(update_fields=["offset_l"])
    return vessel


def vessel_without_offset(vessel: Vessel) -> Vessel:
    """The bare cone of its sizes."""
    return Vessel(bottom_cm=vessel.bottom_cm, top_cm=vessel.top_cm, height_cm=vessel.height_cm, offset_l=0)


def _fill(
    vessel: Vessel, name: str, depth_cm: Decimal, gross_g: Decimal, temperature_c: Decimal
) -> WaterFill:
    if not 0 < depth_cm <= vessel.height_cm:
        height = words.number(vessel.height_cm, 1)
        raise Refused(f"{vessel.code} is {height}{words.GAP}cm deep inside.", field=f"{name}_cm")
    if gross_g <= vessel.empty_g:
        raise Refused(
            f"With water it weighs more than empty ({words.mass(vessel.empty_g)}).", field=f"{name}_g"
        )
    net_g = float(gross_g - vessel.empty_g)
    return WaterFill(depth_cm=float(depth_cm), net_g=net_g, temperature_c=float(temperature_c))


def _refuse_weights(scale: Scale, empty_g: Decimal, full_g: Decimal) -> None:
    if empty_g <= 0:
        raise Refused("An empty glass weighs more than 0 g.", field="empty_g")
    if full_g <= empty_g:
        raise Refused(f"Filled must be more than empty ({words.grams(empty_g)}).", field="full_g")
    if full_g > scale.capacity_g:
        raise Refused(f"{scale.name} weighs up to {words.grams(scale.capacity_g)}.", field="full_g")


def _refuse_warmth(temperature_c: Decimal) -> None:
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise Refused("Take water of 1 to 40 °C; its density is known there.", field="temperature_c")
