"""A coat over another glaze: the wall draws through both. From each glaze's own tile on bare bisque."""

import math
from dataclasses import dataclass

from buckets.calc.coats import PHI_COAT, growth, solids
from studio.calc.arguments import not_negative, positive


@dataclass(frozen=True)
class SecondUnlike:
    """A coat over another glaze: how the two hold water back, and the dry glaze that comes on."""

    k_ratio: float
    second_g_per_cm2: float


def _filtering(*, k: float, sg: float, rho_s: float, phi_c: float) -> tuple[float, float]:
    """K in thickness, cm2/s, and the growth factor a."""
    positive(k=k)
    a = growth(solids(sg=sg, rho_s=rho_s, phi_coat=phi_c), phi_c)
    return k / (phi_c * rho_s) ** 2, a


def second_coat_unlike(
    *,
    m1: float,
    k1: float,
    rho_s1: float,
    sg1: float,
    phi_c1: float = PHI_COAT,
    k2: float,
    rho_s2: float,
    sg2: float,
    phi_c2: float = PHI_COAT,
    t_s: float,
) -> SecondUnlike:
    """Dry glaze that comes on in ``t_s`` seconds over ``m1`` g/cm2 of another glaze.

    K of each at its own SG, from its own tile on bare bisque. ``m1`` and ``t_s`` 0 or more. ValueError
    otherwise. Derived from Darcy's law with both coats in series; equal glazes give ``second_coat``.
    Holds while the build ratio is above 1; a wall that still has water in it pulls less.
    """
    not_negative(m1=m1, t_s=t_s)
    l1, a1 = _filtering(k=k1, sg=sg1, rho_s=rho_s1, phi_c=phi_c1)
    l2, a2 = _filtering(k=k2, sg=sg2, rho_s=rho_s2, phi_c=phi_c2)
    ratio = (l2 / a2) / (l1 / a1)
    under = ratio * m1 / (phi_c1 * rho_s1)
    grown = math.sqrt(under**2 + l2 * t_s) - under
    return SecondUnlike(k_ratio=ratio, second_g_per_cm2=grown * phi_c2 * rho_s2)


def seconds_over_unlike(
    *,
    m1: float,
    k1: float,
    rho_s1: float,
    sg1: float,
    phi_c1: float = PHI_COAT,
    k2: float,
    rho_s2: float,
    sg2: float,
    phi_c2: float = PHI_COAT,
    m2: float,
) -> float:
    """Seconds for ``m2`` g/cm2 over another glaze: ``second_coat_unlike`` solved for the time."""
    not_negative(m1=m1, m2=m2)
    l1, a1 = _filtering(k=k1, sg=sg1, rho_s=rho_s1, phi_c=phi_c1)
    l2, a2 = _filtering(k=k2, sg=sg2, rho_s=rho_s2, phi_c=phi_c2)
    under = (l2 / a2) / (l1 / a1) * m1 / (phi_c1 * rho_s1)
    grown = m2 / (phi_c2 * rho_s2)
    return ((under + grown) ** 2 - under**2) / l2
