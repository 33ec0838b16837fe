"""How long to wait between coats. Hours, all lower bounds: below the critical moisture drying slows down.

Water in mL a square centimetre of one glazed face, as in layers.py.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from buckets.calc.layers import Coat, coat_water_parts
from studio.calc.arguments import not_negative, positive

MARGIN = 1.3  # on the filtrate of the next coat before it is advised: this product's proposal


@dataclass(frozen=True)
class StrictDrying:
    """Hours each coat stays wet on its surface, and until all is dry after the last."""

    surface_wet_h: tuple[float, ...]
    all_dry_after_last_h: float


@dataclass(frozen=True)
class CoatsLeft:
    """Room left in the wall, in mL/cm2 and in coats, when a coat's whole water had to go in."""

    remaining_ml_per_cm2: float
    coats: float
    whole_coats: int


def wait_until_builds_h(
    *,
    capacity: float,
    coat_pores: float,
    water_present: float,
    filtrate: float,
    rate_g_per_cm2_h: float,
    margin: float = MARGIN,
) -> float:
    """Hours until the wall has room for the next coat: ``max(0, margin f - free) / e``. A lower bound.

    ``margin`` 1 is the least there is, 1.3 what is advised; rate above 0. ValueError otherwise. Derived.
    """
    positive(capacity=capacity, filtrate=filtrate, rate_g_per_cm2_h=rate_g_per_cm2_h, margin=margin)
    not_negative(coat_pores=coat_pores, water_present=water_present)
    free = capacity + coat_pores - water_present
    return max(0.0, margin * filtrate - free) / rate_g_per_cm2_h


def shown_hours(hours: float) -> float:
    """A wait as it is said: rounded up to half hours, beyond three hours to whole ones. 0 stays 0.

    The hours are lower bounds, so they never round down; a long one is not known to the half hour.
    """
    not_negative(hours=hours)
    half = math.ceil(round(2 * hours, 6)) / 2
    return half if half <= 3 else float(math.ceil(round(hours, 6)))


def waits_before(
    *, coats: Sequence[Coat], capacity: float, rate_g_per_cm2_h: float, margin: float = MARGIN
) -> tuple[float, ...]:
    """Hours to wait before each coat but the first, so that it finds room with the margin. Derived.

    Each wait counts on the ones before it as kept. Lower bounds. At least one coat, rate above 0.
    """
    water = pores = 0.0
    waits = []
    parts = [coat_water_parts(m=c.m, sg=c.sg, rho_s=c.rho_s, phi_c=c.phi_c) for c in coats]
    for one, other in pairwise(parts):
        water += one.water_ml_per_cm2
        pores += one.pore_water_ml_per_cm2
        wait = wait_until_builds_h(
            capacity=capacity,
            coat_pores=pores,
            water_present=water,
            filtrate=other.filtrate_ml_per_cm2,
            rate_g_per_cm2_h=rate_g_per_cm2_h,
            margin=margin,
        )
        waits.append(wait)
        water = max(0.0, water - wait * rate_g_per_cm2_h)
    return tuple(waits)


def coats_left(
    *, capacity_ml_per_cm2: float, water_per_coat_ml_per_cm2: float, already_ml_per_cm2: float = 0.0
) -> CoatsLeft:
    """The strict count: every coat's whole water must go into the wall. Derived.

    Coat's water above 0, the rest 0 or more. ValueError otherwise. It tells whose sheen leaves by itself;
    a coat may form all the same (``will_it_take``).
    """
    positive(water_per_coat_ml_per_cm2=water_per_coat_ml_per_cm2)
    not_negative(capacity_ml_per_cm2=capacity_ml_per_cm2, already_ml_per_cm2=already_ml_per_cm2)
    left = max(0.0, capacity_ml_per_cm2 - already_ml_per_cm2)
    coats = left / water_per_coat_ml_per_cm2
    return CoatsLeft(remaining_ml_per_cm2=left, coats=coats, whole_coats=int(coats))


def strict_drying(
    *,
    waters_ml_per_cm2: Sequence[float],
    capacity: float,
    rate_g_per_cm2_h: float,
    gap_h: float,
    rho_w: float = 1.0,
) -> StrictDrying:
    """Drying by the strict count: each next coat ``gap_h`` after the surface of the last stopped being wet.

    The wall starts dry and takes what it can of each coat's water, the rest must dry off; in the gap it
    loses ``e gap``, not below nothing. Waters 0 or more, at least one; capacity and rate above 0.
    ValueError otherwise. Derived; constant rate only, so the times are lower bounds.
    """
    if not waters_ml_per_cm2:
        raise ValueError("at least one coat is wanted")
    positive(capacity=capacity, rate_g_per_cm2_h=rate_g_per_cm2_h, rho_w=rho_w)
    not_negative(gap_h=gap_h)
    wall, wet, dry_h = 0.0, [], 0.0
    for water in waters_ml_per_cm2:
        not_negative(water_ml_per_cm2=water)
        free = max(0.0, wall + water - capacity)
        wall = min(capacity, wall + water)
        wet.append(free * rho_w / rate_g_per_cm2_h)
        dry_h = (wall + free) * rho_w / rate_g_per_cm2_h
        wall = max(0.0, wall - rate_g_per_cm2_h * gap_h / rho_w)
    return StrictDrying(surface_wet_h=tuple(wet), all_dry_after_last_h=dry_h)
