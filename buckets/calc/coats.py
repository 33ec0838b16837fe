"""How a coat grows on bisque: dry glaze a square centimetre against seconds.

Filtration: the wall drinks through the coat that is there already, so what has grown squared goes with the
time, ``m = m0 + sqrt(K t)``. ``m`` is dry glaze in g/cm2, ``m0`` the film that clings and drains, ``K`` in
g2/cm4/s. K belongs to one glaze on one clay body and bisque, stirred and as flocculated as its tile was;
the square ends when the wall is full. Not for brushing, spraying, or a glaze with gum in it.

Source: form by Adcock & McDowall 1957 and Tiller & Tsai 1986, from memory; square-root growth restated in
an open-access paper (Ceramics 8(1) art. 6), excerpt opened; the working form in dry mass is derived.
"""

import math
from dataclasses import dataclass

from studio.calc.arguments import above, between, not_negative, positive
from studio.calc.slurry import slurry

PHI_COAT = 0.5  # share of solids in a fresh coat: illustrative; a tile's thickness tells the glaze's own


@dataclass(frozen=True)
class TwoTiles:
    """What two tiles of unlike seconds tell: ``k`` in g2/cm4/s and the film in g/cm2."""

    k: float
    film_g_per_cm2: float


@dataclass(frozen=True)
class KAtSg:
    """``k`` at another SG, with the share of solids by volume before and after."""

    k: float
    phi_cal: float
    phi_new: float


@dataclass(frozen=True)
class SecondCoat:
    """Dry glaze of a first dip and of a second one that follows at once, g/cm2."""

    first_g_per_cm2: float
    second_g_per_cm2: float


@dataclass(frozen=True)
class CoatWater:
    """One coat: raw and fired thickness, slurry drawn, and its water in two parts.

    ``filtrate`` must leave the coat for it to form; ``pore_water`` stays between its grains.
    """

    thickness_mm: float
    slurry_ml_per_cm2: float
    filtrate_ml_per_cm2: float
    pore_water_ml_per_cm2: float
    water_ml_per_cm2: float
    fired_thickness_mm: float


def coat_k(*, t_s: float, coat_g_per_cm2: float, film_g_per_cm2: float = 0.0) -> float:
    """K from one tile: ``(m - m0)^2 / t``. Seconds above 0, coat above the film, film 0 or more.

    ValueError otherwise. Derived.
    """
    positive(t_s=t_s)
    not_negative(film_g_per_cm2=film_g_per_cm2)
    above(film_g_per_cm2, coat_g_per_cm2=coat_g_per_cm2)
    return (coat_g_per_cm2 - film_g_per_cm2) ** 2 / t_s


def coat_from_two_tiles(*, t1_s: float, m1: float, t2_s: float, m2: float) -> TwoTiles:
    """K and film from two tiles dipped at one SG for unlike seconds; ``m1``, ``m2`` in g/cm2.

    The straight line of m over sqrt(t): its slope is sqrt(K), where it begins the film. Seconds above 0
    and unlike, the longer dip with the thicker coat, and a film of 0 or more. ValueError otherwise.
    Derived.
    """
    positive(t1_s=t1_s, m1=m1, t2_s=t2_s, m2=m2)
    if t1_s == t2_s:
        raise ValueError(f"t1_s and t2_s must differ, got {t1_s} twice")
    slope = (m2 - m1) / (math.sqrt(t2_s) - math.sqrt(t1_s))
    if slope <= 0:
        raise ValueError("the longer dip must have the thicker coat")
    film = m1 - slope * math.sqrt(t1_s)
    if film < -1e-9:
        raise ValueError(f"the film must be 0 or more, these two tiles give {film:.4g}")
    return TwoTiles(k=slope**2, film_g_per_cm2=max(0.0, film))


def k_at_sg(
    *,
    k: float,
    sg_cal: float,
    sg_new: float,
    rho_s: float,
    phi_coat: float = PHI_COAT,
    rho_w: float = 1.0,
) -> KAtSg:
    """K of the same glaze at another SG: it goes with ``phi / (phi_coat - phi)``.

    ``k`` above 0; both SGs above 1 and so thin that their solids stay below ``phi_coat`` (0 to 1).
    ValueError otherwise. Derived; that it depends on concentration: Biesheuvel & Verweij 2000, abstract
    opened. Holds while the coat, not the wall, is what holds the water back.
    """
    positive(k=k)
    cal = solids(sg=sg_cal, rho_s=rho_s, phi_coat=phi_coat, rho_w=rho_w)
    new = solids(sg=sg_new, rho_s=rho_s, phi_coat=phi_coat, rho_w=rho_w)
    return KAtSg(k=k * growth(new, phi_coat) / growth(cal, phi_coat), phi_cal=cal, phi_new=new)


def solids(*, sg: float, rho_s: float, phi_coat: float, rho_w: float = 1.0) -> float:
    """Share of solids by volume, which must stay below that of the coat. ValueError otherwise."""
    between(0.01, 0.99, phi_coat=phi_coat)
    phi = slurry(sg=sg, rho_s=rho_s, rho_w=rho_w).phi
    if phi >= phi_coat:
        raise ValueError(f"at SG {sg:g} the slurry holds as much powder as the coat ({phi_coat:g})")
    return phi


def growth(phi: float, phi_coat: float) -> float:
    """Volume of coat that one volume of filtrate leaves behind, ``phi / (phi_coat - phi)``. Derived."""
    return phi / (phi_coat - phi)


def dip_seconds(*, k: float, coat_g_per_cm2: float, film_g_per_cm2: float = 0.0) -> float:
    """Seconds for a coat on dry, bare bisque: ``(m - m0)^2 / K``; 0 where the film alone is enough.

    ``k`` above 0, coat and film 0 or more. ValueError otherwise. Derived.
    """
    positive(k=k)
    not_negative(coat_g_per_cm2=coat_g_per_cm2, film_g_per_cm2=film_g_per_cm2)
    return max(0.0, coat_g_per_cm2 - film_g_per_cm2) ** 2 / k


def coat_after(*, k: float, t_s: float, film_g_per_cm2: float = 0.0) -> float:
    """Coat in g/cm2 after so many seconds, ``m0 + sqrt(K t)``: the inverse of ``dip_seconds``."""
    positive(k=k)
    not_negative(t_s=t_s, film_g_per_cm2=film_g_per_cm2)
    return film_g_per_cm2 + math.sqrt(k * t_s)


def second_coat(*, k: float, t1_s: float, t2_s: float) -> SecondCoat:
    """Two dips of one glaze without drying between: the second grows through the first.

    ``k`` above 0, seconds 0 or more. ValueError otherwise. Derived; holds while the wall still draws.
    """
    first = coat_after(k=k, t_s=t1_s)
    return SecondCoat(first_g_per_cm2=first, second_g_per_cm2=coat_after(k=k, t_s=t1_s + t2_s) - first)


def seconds_over(
    *, k: float, under_g_per_cm2: float, add_g_per_cm2: float, film_g_per_cm2: float = 0
) -> float:
    """Seconds for one more coat over its own kind: ``((m1 + dm)^2 - m1^2) / K``, dm less the film.

    ``k`` above 0, the rest 0 or more. ValueError otherwise. Derived; holds while the wall still draws.
    """
    positive(k=k)
    not_negative(under_g_per_cm2=under_g_per_cm2, add_g_per_cm2=add_g_per_cm2, film_g_per_cm2=film_g_per_cm2)
    grown = max(0.0, add_g_per_cm2 - film_g_per_cm2)
    return ((under_g_per_cm2 + grown) ** 2 - under_g_per_cm2**2) / k


def coat_water(
    *,
    coat_g_per_cm2: float,
    sg: float,
    rho_s: float,
    phi_coat: float = PHI_COAT,
    rho_w: float = 1.0,
    calcined_fraction: float = 0.9,
    rho_glass: float = 2.5,
) -> CoatWater:
    """Thickness of a coat and the water it brings to the wall.

    ``coat_g_per_cm2`` 0 or more, ``calcined_fraction`` (1 less the loss on ignition) above 0 to 1,
    ``rho_glass`` in g/mL; the slurry thinner than the coat. ValueError otherwise. Derived:
    ``L = m / (phi_coat rho_s)``, filtrate ``L (phi_coat / phi - 1)``, pore water ``L (1 - phi_coat)``.
    """
    not_negative(coat_g_per_cm2=coat_g_per_cm2)
    positive(calcined_fraction=calcined_fraction, rho_glass=rho_glass)
    between(0, 1, calcined_fraction=calcined_fraction)
    phi = solids(sg=sg, rho_s=rho_s, phi_coat=phi_coat, rho_w=rho_w)
    thickness_cm = coat_g_per_cm2 / (phi_coat * rho_s)
    filtrate, pores = thickness_cm * (phi_coat / phi - 1), thickness_cm * (1 - phi_coat)
    return CoatWater(
        thickness_mm=10 * thickness_cm,
        slurry_ml_per_cm2=coat_g_per_cm2 / slurry(sg=sg, rho_s=rho_s, rho_w=rho_w).dry_kg_per_l,
        filtrate_ml_per_cm2=filtrate,
        pore_water_ml_per_cm2=pores,
        water_ml_per_cm2=filtrate + pores,
        fired_thickness_mm=10 * coat_g_per_cm2 * calcined_fraction / rho_glass,
    )
