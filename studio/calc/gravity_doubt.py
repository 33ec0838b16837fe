"""How well what was measured is known: hydrometers, particle density, a glass filled with water.

Tolerances are half-widths +-a (rectangular, u = a / sqrt 3) as everywhere; first-order propagation, JCGM 100
(from memory), checked against the ``uncertainties`` package. Weighings: ``studio.calc.gravity``.
"""

from dataclasses import dataclass
from math import hypot, sqrt

from studio.calc.arguments import above, between, not_negative, positive
from studio.calc.gravity import GLASS_EXPANSION_PER_C, Uncertainty
from studio.calc.gravity_scales import sg_told
from studio.calc.slurry import rho_s_from_dry
from studio.calc.water import water_density_kg_per_l

SCALE_DIVISIONS = 1.0  # a hydrometer's scale is right to this; common practice, no source
READ_DIVISIONS = 0.5  # and is read to this; common practice, no source
THERMOMETER_C = 1.0  # half-width of a room thermometer; common practice, no source


@dataclass(frozen=True)
class Filled:
    """The true volume (mL) of a glass filled with water, its standard uncertainty and half-width."""

    volume_ml: float
    u_ml: float
    tolerance_ml: float


@dataclass(frozen=True)
class ParticleDensity:
    """Density (g/mL) of the powder alone, and its standard uncertainty."""

    rho_s: float
    u: float


def sg_per_division(*, unit: str, as_read: float, division: float, modulus: float = 145.0) -> float:
    """What one ``division`` of a hydrometer's scale is in SG at ``as_read``: the scale's own slope.

    ``unit`` "SG", "baumé" or "twaddell"; both numbers above 0, in that unit.
    """
    positive(as_read=as_read, division=division)
    if unit == "SG":
        return division
    up, down = (
        sg_told(unit=unit, value=as_read + step, modulus=modulus)
        for step in (division / 200, -division / 200)
    )
    return (up - down) * 100


def uncertainty_of_hydrometer(
    *,
    reading_sg: float,
    division_sg: float,
    expansion_per_c: float = GLASS_EXPANSION_PER_C,
    tol_temperature_c: float = THERMOMETER_C,
    k: float = 2.0,
) -> Uncertainty:
    """How well a density read off a hydrometer is known, in a slurry that lets it float freely.

    From its division alone: the scale right to one, the reading to half of one; the thermometer moves the
    glass by next to nothing. A slurry with a yield stress adds what nobody can reckon. ``u_from_volume``
    is the glass's part, ``u_from_mass`` the reading's.
    """
    positive(reading_sg=reading_sg, division_sg=division_sg, k=k)
    not_negative(expansion_per_c=expansion_per_c, tol_temperature_c=tol_temperature_c)
    glass = hypot(SCALE_DIVISIONS * division_sg, reading_sg * expansion_per_c * tol_temperature_c) / sqrt(3)
    read = READ_DIVISIONS * division_sg / sqrt(3)
    u = hypot(glass, read)
    return Uncertainty(u_from_volume=glass, u_from_mass=read, u=u, U=k * u)


def filled_with_water(
    *,
    net_g: float,
    temperature_c: float,
    tol_scale_g: float,
    tol_reading_ml: float,
    tol_temperature_c: float = THERMOMETER_C,
) -> Filled:
    """The volume of a glass from the water it holds: net grams over the water's density at that warmth.

    ``net_g`` above 0, 0 to 40 C, tolerances 0 or more. Two weighings, one fill. ``tolerance_ml`` is the
    half-width that has the same standard uncertainty. Source: spc reference 7; water: Tanaka et al. 2001.
    """
    positive(net_g=net_g)
    not_negative(tol_scale_g=tol_scale_g, tol_reading_ml=tol_reading_ml, tol_temperature_c=tol_temperature_c)
    rho_w = water_density_kg_per_l(temperature_c=temperature_c)
    volume = net_g / rho_w
    warm = water_density_kg_per_l(temperature_c=min(temperature_c + 0.5, 40))
    cold = water_density_kg_per_l(temperature_c=max(temperature_c - 0.5, 0))
    slope = abs(warm - cold) / (min(temperature_c + 0.5, 40) - max(temperature_c - 0.5, 0))
    tolerance = sqrt(
        2 * (tol_scale_g / rho_w) ** 2 + tol_reading_ml**2 + (volume * slope / rho_w * tol_temperature_c) ** 2
    )
    return Filled(volume_ml=volume, u_ml=tolerance / sqrt(3), tolerance_ml=tolerance)


def particle_density(
    *,
    gross_g: float,
    tare_g: float,
    volume_ml: float,
    dry_g: float,
    tol_volume_ml: float,
    tol_scale_g: float,
    temperature_c: float = 20.0,
) -> ParticleDensity:
    """Density of a glaze's powder: a known volume of slurry weighed, dried to constant mass, weighed.

    Grams and mL; the dry mass lies under the slurry's and takes less room than it, 0 to 40 C. ValueError
    otherwise. Each net mass is two weighings. Source: slurry reference a.
    """
    above(tare_g, gross_g=gross_g)
    positive(volume_ml=volume_ml, dry_g=dry_g)
    not_negative(tol_volume_ml=tol_volume_ml, tol_scale_g=tol_scale_g)
    between(0, gross_g - tare_g, dry_g=dry_g)
    rho_w, net_g = water_density_kg_per_l(temperature_c=temperature_c), gross_g - tare_g
    rho_s = rho_s_from_dry(rho=net_g / volume_ml, dry_kg_per_l=dry_g / volume_ml, rho_w=rho_w)
    displaced_g = dry_g - net_g + rho_w * volume_ml  # water that the powder took the place of
    by_dry = (rho_w - rho_s) / displaced_g
    by_net = rho_s / displaced_g
    by_volume = rho_w * rho_s / displaced_g
    u_mass = tol_scale_g * sqrt(2 / 3)
    u = hypot(by_dry * u_mass, by_net * u_mass, by_volume * tol_volume_ml / sqrt(3))
    return ParticleDensity(rho_s=rho_s, u=u)
