"""Other scales that SG is read and told in: degrees Baume and Twaddell, ounces, pounds.

Unit definitions are exact (NIST SP 811, from memory). A US pint of water is 16.66 oz: a US pint's
weight divided by 20 reads 17 % low.
"""

from collections.abc import Callable
from dataclasses import dataclass

from studio.calc.arguments import above, at_least, between, positive

OZ_G = 28.349523125
LB_G = 453.59237
IMPERIAL_PINT_ML = 568.26125
US_PINT_ML = 473.176473
US_GALLON_ML = 3785.411784


@dataclass(frozen=True)
class DensityUnits:
    """One density in the units it is told in."""

    oz_per_imp_pint: float
    oz_per_us_pint: float
    g_per_100ml: float
    lb_per_us_gal: float
    lb_per_imp_gal: float
    kg_per_m3: float


def sg_from_baume(*, degrees: float, modulus: float = 145.0) -> float:
    """SG of a liquid heavier than water from degrees Baume.

    ``modulus`` 145 (60/60 F, dictionary entry opened) or the older 144.3 (15 C; Lunge, from memory):
    keep which. ``degrees`` 0 or more and under ``modulus``. ValueError otherwise.
    """
    positive(modulus=modulus)
    between(0, modulus - 1e-6, degrees=degrees)
    return modulus / (modulus - degrees)


def baume_from_sg(*, sg: float, modulus: float = 145.0) -> float:
    """Degrees Baume of an SG of 1 or more. Inverse of ``sg_from_baume``."""
    positive(modulus=modulus)
    at_least(1, sg=sg)
    return modulus - modulus / sg


def sg_from_twaddell(*, degrees: float) -> float:
    """SG from degrees Twaddell, 0 or more. Source: units dictionary (opened)."""
    at_least(0, degrees=degrees)
    return 1 + degrees / 200


def twaddell_from_sg(*, sg: float) -> float:
    """Degrees Twaddell of an SG of 1 or more. Inverse of ``sg_from_twaddell``."""
    at_least(1, sg=sg)
    return (sg - 1) * 200


def density_units(*, rho_kg_per_l: float) -> DensityUnits:
    """A density, above 0, in ounces per pint, grams per 100 mL, pounds per gallon and kg/m3."""
    positive(rho_kg_per_l=rho_kg_per_l)
    rho = rho_kg_per_l
    return DensityUnits(
        oz_per_imp_pint=rho * IMPERIAL_PINT_ML / OZ_G,
        oz_per_us_pint=rho * US_PINT_ML / OZ_G,
        g_per_100ml=100 * rho,
        lb_per_us_gal=rho * US_GALLON_ML / LB_G,
        lb_per_imp_gal=rho * 8 * IMPERIAL_PINT_ML / LB_G,
        kg_per_m3=1000 * rho,
    )


def sg_from_pint_weight(*, pint_oz: float, water_oz: float = 20.0) -> float:
    """SG from the weight of a pint against that of a pint of water: 20 oz imperial, 16.66 oz US."""
    above(0, pint_oz=pint_oz, water_oz=water_oz)
    return pint_oz / water_oz


@dataclass(frozen=True)
class Told:
    """A unit that people tell the weight of a slurry in: there and back, and what was filled for it.

    ``to_sg`` and ``from_sg`` take the number first and the modulus, which only Baume heeds, second.
    ``volume_ml``: of the vessel that was weighed, None where nothing was.
    """

    to_sg: Callable[[float, float], float]
    from_sg: Callable[[float, float], float]
    volume_ml: float | None = None


def _weight(unit_g: float, volume_ml: float) -> Told:
    """So many units in that volume, as g/mL over 1."""
    per_sg = volume_ml / unit_g
    return Told(lambda n, _: n / per_sg, lambda sg, _: sg * per_sg, volume_ml)


# By the name each is kept under. Ounces in an imperial pint are over 20, as trade custom has it: the pint
# of water weighed 20 oz in air at 62 F. As a density the same weight is 0.22 % less.
TOLD: dict[str, Told] = {
    "baumé": Told(
        lambda n, modulus: sg_from_baume(degrees=n, modulus=modulus),
        lambda sg, modulus: baume_from_sg(sg=sg, modulus=modulus),
    ),
    "twaddell": Told(
        lambda n, _: sg_from_twaddell(degrees=n),
        lambda sg, _: twaddell_from_sg(sg=sg),
    ),
    "oz imperial pint": Told(
        lambda n, _: sg_from_pint_weight(pint_oz=n),
        lambda sg, _: 20 * sg,
        IMPERIAL_PINT_ML,
    ),
    "oz US pint": _weight(OZ_G, US_PINT_ML),
    "g/100 mL": _weight(1.0, 100.0),
    "g/L": _weight(1.0, 1000.0),
    "lb/US gal": _weight(LB_G, US_GALLON_ML),
}


def sg_told(*, unit: str, value: float, modulus: float = 145.0) -> float:
    """The SG that ``value`` in one of the units of ``TOLD`` stands for.

    ``value`` above 0; ``modulus`` of the Baume scale. KeyError for another unit, ValueError when out of
    range.
    """
    above(0, value=value)
    return TOLD[unit].to_sg(value, modulus)


def told_from_sg(*, unit: str, sg: float, modulus: float = 145.0) -> float:
    """An SG of 1 or more in one of the units of ``TOLD``: the inverse of ``sg_told``."""
    at_least(1, sg=sg)
    return TOLD[unit].from_sg(sg, modulus)
