"""What was measured with the room's own instruments becomes a specific gravity with its doubt.

The studio counts grams in a mL, over 1. What is measured against water or with a hydrometer comes out over
water of the same temperature, 0.18 % more at 20 C: it is brought to grams in a mL here, so that a glaze does
not change when somebody takes another instrument.
"""

from dataclasses import dataclass
from decimal import Decimal

from studio.calc.gravity import (
    Verdict,
    density_by_hydrometer,
    sg_known_volume,
    uncertainty_of_ratio,
    uncertainty_of_weighing,
    verdict,
)
from studio.calc.gravity_doubt import sg_per_division, uncertainty_of_hydrometer
from studio.calc.gravity_scales import TOLD, sg_told
from studio.calc.water import water_density_kg_per_l
from studio.quantities import rounded
from studio.room.models import Glass, Hydrometer, Scale

ROOM_C = Decimal(20)  # of a slurry and of water, where nobody said
# Standard uncertainty of filling to the mark: opaque slurry hides it (common practice, no source); a narrow
# neck shows it better.
FILL_ML = {Glass.Kind.FLASK: 0.1, Glass.Kind.CYLINDER: 0.3, Glass.Kind.VESSEL: 1.0}
UNKNOWN_FILL_ML = 0.3


@dataclass(frozen=True, kw_only=True)
class Measured:
    """SG by the studio's convention (grams per mL over 1), and its standard uncertainty if known."""

    sg: Decimal
    u_sg: Decimal | None


def weighed(*, gross_g: Decimal, tare_g: Decimal, glass: Glass, scale: Scale | None) -> Measured:
    """SG of what fills ``glass``: gross minus tare (g) over its volume; u from glass and scale.

    The scale's tolerance is taken as its division. ValueError when gross is not above tare.
    """
    sg = sg_known_volume(gross_g=float(gross_g), tare_g=float(tare_g), volume_ml=float(glass.volume_ml))
    u_sg = uncertainty_of(sg=Decimal(repr(sg)), glass=glass, scale=scale) if scale else None
    return Measured(sg=rounded(sg, 4), u_sg=u_sg)


def uncertainty_of(*, sg: Decimal, glass: Glass, scale: Scale) -> Decimal:
    """Standard uncertainty of an SG weighed with this pair, five places."""
    u = uncertainty_of_weighing(
        sg=float(sg),
        volume_ml=float(glass.volume_ml),
        tol_volume_ml=float(glass.tolerance_ml),
        tol_scale_g=float(scale.division_g),
    )
    return rounded(u.u, 5)


def against_water(
    *,
    gross_g: Decimal,
    tare_g: Decimal,
    water_g: Decimal,
    temperature_c: Decimal | None,
    glass: Glass | None,
    scale: Scale | None,
) -> Measured:
    """SG of what fills a vessel, from its weight with slurry, with water and empty (g); its volume cancels.

    Their ratio times the water's density at ``temperature_c`` (20 C when not said). u from the scale's
    division and the fill; None without a scale. ValueError when a filling is not above ``tare_g``.
    """
    if not tare_g < min(gross_g, water_g):
        raise ValueError("both fillings must be above the empty weight")
    warm = ROOM_C if temperature_c is None else temperature_c
    rho_w = water_density_kg_per_l(temperature_c=float(warm))
    water, ratio = float(water_g - tare_g), float(gross_g - tare_g) / float(water_g - tare_g)
    if scale is None:
        return Measured(sg=rounded(ratio * rho_w, 4), u_sg=None)
    known = uncertainty_of_ratio(
        sg=ratio,
        volume_ml=water / rho_w,
        tol_scale_g=float(scale.division_g),
        u_fill_ml=FILL_ML[Glass.Kind(glass.kind)] if glass else UNKNOWN_FILL_ML,
        rho_w=rho_w,
    )
    return Measured(sg=rounded(ratio * rho_w, 4), u_sg=rounded(known.u * rho_w, 5))


def by_hydrometer(*, hydrometer: Hydrometer, as_read: Decimal, temperature_c: Decimal) -> Measured:
    """SG of what a hydrometer floats in: its scale, its own temperature and its glass considered.

    ``as_read`` in its own unit, above 0; 0 to 40 C. u from its division and the reading of it. ValueError
    when out of range.
    """
    unit, modulus = hydrometer.shows, float(hydrometer.modulus or 145)
    reading = float(as_read) if unit == "SG" else sg_told(unit=unit, value=float(as_read), modulus=modulus)
    expansion = float(hydrometer.expansion_per_c)
    rho = density_by_hydrometer(
        reading_sg=reading,
        temperature_c=float(temperature_c),
        calibrated_at_c=float(hydrometer.calibrated_at_c),
        water_reference_c=float(hydrometer.water_reference_c),
        expansion_per_c=expansion,
    )
    division = sg_per_division(
        unit=unit, as_read=float(as_read), division=float(hydrometer.division), modulus=modulus
    )
    known = uncertainty_of_hydrometer(reading_sg=reading, division_sg=division, expansion_per_c=expansion)
    return Measured(sg=rounded(rho, 4), u_sg=rounded(known.u, 5))


def told(
    *, unit: str, as_read: Decimal, modulus: Decimal | None, glass: Glass | None, scale: Scale | None
) -> Measured:
    """SG of a number told in one of the units of ``TOLD``; u only where it is known what was weighed in.

    ValueError when the number is out of range.
    """
    sg = sg_told(unit=unit, value=float(as_read), modulus=float(modulus or 145))
    u_sg = None
    if glass is not None and scale is not None and sg > 0:
        u_sg = uncertainty_of(sg=Decimal(repr(sg)), glass=glass, scale=scale)
    return Measured(sg=rounded(sg, 4), u_sg=u_sg)


def holds_the_unit(unit: str, glass: Glass) -> bool:
    """Whether a glass holds what the unit is counted in (a pint, 100 mL …), within its own tolerance."""
    wanted = TOLD[unit].volume_ml
    return wanted is not None and abs(float(glass.volume_ml) - wanted) <= float(glass.tolerance_ml)


def verdict_of(
    *, sg: Decimal, u_sg: Decimal | None, target: Decimal | None, half_window: Decimal | None
) -> Verdict | None:
    """Inside, outside or undecided; None without a window. An unknown U counts as 0.01.

    0.01 is what two readings of one stir may differ by (common practice, no source).
    """
    if target is None or half_window is None:
        return None
    u = float(u_sg) if u_sg is not None else 0.005
    return verdict(reading=float(sg), target=float(target), half_window=float(half_window), u=u)
