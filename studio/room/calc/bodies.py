"""What a bisqued wall drinks and how fast it dries. Amounts of water in mL or g a square centimetre.

A wall is taken as evenly porous and its water as evenly spread in it.
"""

from dataclasses import dataclass

from studio.calc.arguments import above, between, positive


@dataclass(frozen=True)
class WallCapacity:
    """Open pores as a share of the wall's volume, and the water one glazed face may count on."""

    open_porosity: float
    capacity_ml_per_cm2: float


def absorption_pct(*, dry_g: float, soaked_g: float) -> float:
    """Water a dry piece takes up, per cent of its dry mass: ``100 (soaked - dry) / dry``.

    ``dry_g`` above 0, ``soaked_g`` above ``dry_g``; soaked for a day or boiled, wiped. ValueError
    otherwise. Source: ASTM C373 and ISO 10545-3, from memory.
    """
    positive(dry_g=dry_g)
    above(dry_g, soaked_g=soaked_g)
    return 100 * (soaked_g - dry_g) / dry_g


def bulk_density(*, dry_g: float, soaked_g: float, hung_g: float, rho_w: float = 1.0) -> float:
    """Dry mass over outer volume, g/mL: ``dry rho_w / (soaked - hung)``.

    ``hung_g`` is the soaked piece weighed hanging in water: what it weighs less is the water it pushes
    aside. 0 < ``hung_g`` < ``dry_g`` < ``soaked_g``. ValueError otherwise. Source: ASTM C373 and
    ISO 10545-3, from memory.
    """
    positive(dry_g=dry_g, hung_g=hung_g, rho_w=rho_w)
    above(dry_g, soaked_g=soaked_g)
    above(hung_g, dry_g=dry_g)
    return dry_g * rho_w / (soaked_g - hung_g)


def wall_capacity(
    *, wall_mm: float, absorption: float, bulk_density: float, sides: float, rho_w: float = 1.0
) -> WallCapacity:
    """Water a dry wall can take, for each glazed face: ``Q = wall x porosity / sides``.

    ``wall_mm`` above 0, ``absorption`` as a share (0.12, above 0 to 1), ``bulk_density`` in g/mL above 0,
    ``sides`` 1 or 2 faces glazed. The product of absorption and bulk density is the open porosity, below
    1. ValueError otherwise. Source: porosity by ASTM C373 and ISO 10545-3, from memory; capacity derived.
    """
    positive(wall_mm=wall_mm, absorption=absorption, bulk_density=bulk_density, rho_w=rho_w)
    between(0, 1, absorption=absorption)
    between(1, 2, sides=sides)
    porosity = absorption * bulk_density / rho_w
    if porosity >= 1:
        raise ValueError(f"absorption x bulk_density must be below 1, got {porosity:.3g}")
    return WallCapacity(open_porosity=porosity, capacity_ml_per_cm2=wall_mm / 10 * porosity / sides)


def drying_rate_g_per_cm2_h(*, m1_g: float, m2_g: float, area_cm2: float, hours: float) -> float:
    """Water a damp piece loses, from two weighings ``hours`` apart: ``(m1 - m2) / (area hours)``.

    ``m1_g`` above ``m2_g`` above 0; ``area_cm2`` all the surface it dries from; ``hours`` above 0.
    ValueError otherwise. True while the surface is wet; below the critical moisture the rate falls, so
    what is reckoned from it is a lower bound. Derived; the falling rate: general description, opened.
    """
    positive(m2_g=m2_g, area_cm2=area_cm2, hours=hours)
    above(m2_g, m1_g=m1_g)
    return (m1_g - m2_g) / (area_cm2 * hours)
