"""Water of a batch: the first part, what the pail should weigh then, the last part, and the yield.

Litres, kilograms, SG with water 1 kg/L unless ``rho_w`` says otherwise.
"""

from dataclasses import dataclass

from studio.calc.arguments import above, at_least, between, not_negative, positive
from studio.calc.slurry import sg_after_water, thin


@dataclass(frozen=True)
class FirstWater:
    """The water that goes in before any powder, and what is kept back for the last adjustment."""

    first_l: float
    kept_l: float


@dataclass(frozen=True)
class ExpectedGross:
    """What the pail should weigh, and the half-width within which nothing is amiss."""

    gross_kg: float
    band_kg: float


@dataclass(frozen=True)
class Predicted:
    """Volume and SG of a pail before anybody measures them."""

    volume_l: float
    sg: float


@dataclass(frozen=True)
class LastWater:
    """Water to the target, the part to offer first, and the SG that part should give."""

    all_l: float
    first_l: float
    sg_after_first: float


@dataclass(frozen=True)
class Yield:
    """What came of a batch in % of what went in, and whether that is within the limits."""

    pct: float
    inside: bool


def first_water(*, water_l: float, hold_back_pct: float) -> FirstWater:
    """Split the planned water: ``hold_back_pct`` (0 to 100) is kept back.

    10 to 15 % is common practice, no source. ValueError when out of range.
    """
    not_negative(water_l=water_l)
    between(0, 100, hold_back_pct=hold_back_pct)
    kept = water_l * hold_back_pct / 100
    return FirstWater(first_l=water_l - kept, kept_l=kept)


def expected_gross_kg(
    *,
    vessel_kg: float,
    powder_kg: float,
    water_l: float,
    old_volume_l: float = 0.0,
    old_sg: float = 1.0,
    band_pct: float = 0.5,
    rho_w: float = 1.0,
) -> ExpectedGross:
    """Vessel, old slurry, powder and water together; the band is ``band_pct`` of the powder.

    The best single catch of a line that was weighed and not added. All amounts 0 or more, ``old_sg`` 1
    or more. ValueError otherwise. Band 0.5 %: common practice, no source.
    """
    not_negative(vessel_kg=vessel_kg, powder_kg=powder_kg, water_l=water_l, old_volume_l=old_volume_l)
    not_negative(band_pct=band_pct)
    positive(rho_w=rho_w)
    at_least(1, old_sg=old_sg)
    return ExpectedGross(
        gross_kg=vessel_kg + old_volume_l * old_sg * rho_w + powder_kg + water_l * rho_w,
        band_kg=powder_kg * band_pct / 100,
    )


def gross_is_right(*, gross_kg: float, expected: ExpectedGross) -> bool:
    """Is the pail's weight within the band, edges included (to a tenth of a milligram)?"""
    return abs(gross_kg - expected.gross_kg) <= expected.band_kg + 1e-7


def after_first_water(
    *,
    powder_kg: float,
    rho_s: float,
    water_l: float,
    old_volume_l: float = 0.0,
    old_sg: float = 1.0,
    rho_w: float = 1.0,
) -> Predicted:
    """Volume and SG once powder of density ``rho_s`` and water are in, with the old slurry if any.

    Amounts 0 or more and not all 0, ``rho_s`` above ``rho_w``, ``old_sg`` 1 or more. ValueError
    otherwise. Derived: masses add, volumes add.
    """
    not_negative(powder_kg=powder_kg, water_l=water_l, old_volume_l=old_volume_l)
    positive(rho_w=rho_w)
    above(rho_w, rho_s=rho_s)
    at_least(1, old_sg=old_sg)
    volume = old_volume_l + powder_kg / rho_s + water_l
    positive(volume_l=volume)
    mass = old_volume_l * old_sg * rho_w + powder_kg + water_l * rho_w
    return Predicted(volume_l=volume, sg=mass / volume / rho_w)


def last_water(*, volume_l: float, sg: float, to_sg: float, first_share_pct: float = 85.0) -> LastWater:
    """Water from what was measured to the target; ``first_share_pct`` of it is offered first.

    ``sg`` from ``to_sg`` up, both above 1, ``volume_l`` above 0. ValueError otherwise: at or under the
    target there is nothing to thin. First share 85 %: common practice, no source.
    """
    positive(volume_l=volume_l)
    above(1, to_sg=to_sg)
    at_least(to_sg, sg=sg)
    between(0, 100, first_share_pct=first_share_pct)
    whole = thin(volume_l=volume_l, sg=sg, to_sg=to_sg).water_l
    first = whole * first_share_pct / 100
    return LastWater(
        all_l=whole, first_l=first, sg_after_first=sg_after_water(volume_l=volume_l, sg=sg, water_l=first)
    )


def theoretical_kg(
    *, powder_kg: float, water_l: float, old_volume_l: float = 0.0, old_sg: float = 1.0, rho_w: float = 1.0
) -> float:
    """What all that went in weighs, the vessel apart. Arguments as ``expected_gross_kg``."""
    return expected_gross_kg(
        vessel_kg=0.0,
        powder_kg=powder_kg,
        water_l=water_l,
        old_volume_l=old_volume_l,
        old_sg=old_sg,
        rho_w=rho_w,
    ).gross_kg


def yield_pct(
    *, net_kg: float, theoretical_kg: float, low_pct: float = 95.0, high_pct: float = 102.0
) -> Yield:
    """What is in the pail in % of what went in. Limits 95 to 102 %: a proposal, derived from no source.

    ``net_kg`` 0 or more, ``theoretical_kg`` above 0. ValueError otherwise.
    """
    not_negative(net_kg=net_kg)
    positive(theoretical_kg=theoretical_kg)
    pct = 100 * net_kg / theoretical_kg
    return Yield(pct=pct, inside=low_pct <= pct <= high_pct)
