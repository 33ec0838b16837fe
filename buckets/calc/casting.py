"""Why a coat grows as it does: suction of the wall, permeability of coat and wall. A physical estimate.

Lengths in the units their names carry. For understanding and for checks; advice comes from tiles.
"""

import math
from dataclasses import dataclass

from studio.calc.arguments import between, positive

SURFACE_TENSION_N_PER_M = 0.0728  # of water at 20 C, from memory


@dataclass(frozen=True)
class Casting:
    """``L^2 = K t``: K, the thickness after 3 s, and the coat's share of what holds the water back."""

    k_m2_per_s: float
    mm_in_3_s: float
    share_of_resistance_in_coat: float


def casting_k(
    *,
    k_cake_m2: float,
    pressure_pa: float,
    mu_mpas: float,
    phi: float,
    phi_coat: float,
    k_wall_m2: float | None = None,
    wall_porosity: float | None = None,
) -> Casting:
    """K of ``L^2 = K t`` from permeability, suction and viscosity; with the wetted wall in series if known.

    ``K = 2 P a^2 / [mu (a / k + 1 / (eps k_wall))]`` with ``a = phi / (phi_coat - phi)``; without a wall
    ``2 k P a / mu``. All above 0, ``phi`` below ``phi_coat``, ``wall_porosity`` up to 1; both of the wall
    or neither. ValueError otherwise. Derived from Darcy's law.
    """
    positive(k_cake_m2=k_cake_m2, pressure_pa=pressure_pa, mu_mpas=mu_mpas, phi=phi)
    between(0, 1, phi_coat=phi_coat)
    if phi >= phi_coat:
        raise ValueError(f"phi must be below phi_coat ({phi_coat:g}), got {phi:g}")
    if (k_wall_m2 is None) != (wall_porosity is None):
        raise ValueError("k_wall_m2 and wall_porosity go together")
    a = phi / (phi_coat - phi)
    in_coat, in_wall = a / k_cake_m2, 0.0
    if k_wall_m2 is not None and wall_porosity is not None:
        positive(k_wall_m2=k_wall_m2, wall_porosity=wall_porosity)
        between(0, 1, wall_porosity=wall_porosity)
        in_wall = 1 / (wall_porosity * k_wall_m2)
    k = 2 * pressure_pa * a**2 / (mu_mpas / 1000 * (in_coat + in_wall))
    return Casting(
        k_m2_per_s=k,
        mm_in_3_s=1000 * math.sqrt(3 * k),
        share_of_resistance_in_coat=in_coat / (in_coat + in_wall),
    )


def suction_pa(*, pore_radius_um: float) -> float:
    """Suction of a wetted pore, ``2 gamma / r``. Radius above 0, ValueError otherwise.

    Source: Young-Laplace, fully wetting; surface tension of water from memory.
    """
    positive(pore_radius_um=pore_radius_um)
    return 2 * SURFACE_TENSION_N_PER_M / (pore_radius_um * 1e-6)


def kozeny_um2(*, d_um: float, porosity: float) -> float:
    """Permeability of packed grains, ``d^2 eps^3 / [180 (1 - eps)^2]`` in um2.

    ``d_um`` above 0, ``porosity`` above 0 and below 1. ValueError otherwise. Source: Kozeny-Carman, from
    memory.
    """
    positive(d_um=d_um, porosity=porosity)
    if porosity >= 1:
        raise ValueError(f"porosity must be below 1, got {porosity}")
    return d_um**2 * porosity**3 / (180 * (1 - porosity) ** 2)
