"""Coats on a wall: will the next one form, how long does it stay damp, when may the next follow?

Water in mL a square centimetre of one glazed face, time in hours. ``capacity`` is what the dry wall takes,
``water_present`` all that is there now in wall and coats, ``coat_pores`` the room between the grains of
the coats on it. Drying times are lower bounds: below the critical moisture drying slows down. Neither the
build ratio here nor the strict count of waiting.py is proven on studio bisque: touch test.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from buckets.calc.coats import PHI_COAT, coat_water
from studio.calc.arguments import not_negative, positive
from studio.room.calc.bodies import wall_capacity

U_CAPACITY, U_WATER, K_SURE = 0.15, 0.10, 1.0  # relative, and how many of them: this product's proposal

Verdict = Literal["takes_and_dries", "builds_stays_damp", "will_not_build", "uncertain"]


@dataclass(frozen=True, kw_only=True)
class Coat:
    """One coat: dry glaze in g/cm2, the SG it is dipped at, its powder; loss on ignition as a share."""

    m: float
    sg: float
    rho_s: float
    phi_c: float = PHI_COAT
    loi: float = 0.10
    rho_glass: float = 2.5


@dataclass(frozen=True)
class Stack:
    """Several coats in one place, summed."""

    dry_g_per_cm2: float
    raw_mm: float
    fired_mm: float
    water_ml_per_cm2: tuple[float, ...]
    water_total_ml_per_cm2: float
    slurry_ml_per_cm2: float


@dataclass(frozen=True)
class OppositeFace:
    """What the second face finds after the first was glazed, and its build ratio."""

    total_capacity_ml_per_cm2: float
    left_for_second_face: float
    ratio: float


@dataclass(frozen=True)
class WaterParts:
    """A coat's water: what must leave for it to form, and what stays between its grains."""

    filtrate_ml_per_cm2: float
    pore_water_ml_per_cm2: float
    water_ml_per_cm2: float


@dataclass(frozen=True)
class Take:
    """Will the wall take the next coat: both ratios with their uncertainty, and the verdict."""

    free_ml_per_cm2: float
    ratio_build: float
    u_build: float
    ratio_dry: float
    u_dry: float
    verdict: Verdict


@dataclass(frozen=True)
class AfterCoat:
    """One coat of a sequence: its verdict, the most that would form, and hours until it has set, is no
    longer damp, and all is dry.
    """

    ratio_build: float
    ratio_dry: float
    verdict: Verdict
    largest_coat_g_per_cm2: float
    set_h: float
    damp_h: float
    all_dry_h: float


def zone_stack(*, coats: Sequence[Coat]) -> Stack:
    """Thickness, water and slurry of coats one over the other; at least one, else ValueError. Derived."""
    if not coats:
        raise ValueError("at least one coat is wanted")
    each = [
        coat_water(
            coat_g_per_cm2=coat.m,
            sg=coat.sg,
            rho_s=coat.rho_s,
            phi_coat=coat.phi_c,
            calcined_fraction=1 - coat.loi,
            rho_glass=coat.rho_glass,
        )
        for coat in coats
    ]
    waters = tuple(one.water_ml_per_cm2 for one in each)
    return Stack(
        dry_g_per_cm2=sum(coat.m for coat in coats),
        raw_mm=sum(one.thickness_mm for one in each),
        fired_mm=sum(one.fired_thickness_mm for one in each),
        water_ml_per_cm2=waters,
        water_total_ml_per_cm2=sum(waters),
        slurry_ml_per_cm2=sum(one.slurry_ml_per_cm2 for one in each),
    )


def coat_water_parts(*, m: float, sg: float, rho_s: float, phi_c: float = PHI_COAT) -> WaterParts:
    """Filtrate and pore water of a coat of ``m`` g/cm2 (0 or more). ValueError otherwise. Derived."""
    water = coat_water(coat_g_per_cm2=m, sg=sg, rho_s=rho_s, phi_coat=phi_c)
    return WaterParts(
        filtrate_ml_per_cm2=water.filtrate_ml_per_cm2,
        pore_water_ml_per_cm2=water.pore_water_ml_per_cm2,
        water_ml_per_cm2=water.water_ml_per_cm2,
    )


def opposite_face(
    *,
    wall_mm: float,
    absorption: float,
    bulk_density: float,
    filtrate_first_face: float,
    filtrate_second_face: float,
) -> OppositeFace:
    """One face first, no drying: what it took is missing for the other. Filtrates above 0. Derived."""
    positive(filtrate_first_face=filtrate_first_face, filtrate_second_face=filtrate_second_face)
    total = wall_capacity(
        wall_mm=wall_mm, absorption=absorption, bulk_density=bulk_density, sides=1
    ).capacity_ml_per_cm2
    left = total - filtrate_first_face
    return OppositeFace(
        total_capacity_ml_per_cm2=total, left_for_second_face=left, ratio=left / filtrate_second_face
    )


def will_it_take(
    *,
    capacity: float,
    coat_pores: float,
    water_present: float,
    filtrate: float,
    pore_water: float,
    u_capacity_rel: float = U_CAPACITY,
    u_water_rel: float = U_WATER,
    k: float = K_SURE,
) -> Take:
    """Whether the next coat forms: ``build = (Q + P - W) / f``, ``dry = (Q - W) / (f + p)``.

    ``capacity`` and ``filtrate`` above 0, the rest 0 or more. ValueError otherwise. Takes and dries when
    the dry ratio less its doubt reaches 1; else builds and stays damp when the build ratio less its doubt
    does; will not build when even with its doubt it stays below 1; else uncertain. Derived; doubts by
    first order, their size this product's proposal.
    """
    positive(capacity=capacity, filtrate=filtrate)
    not_negative(coat_pores=coat_pores, water_present=water_present, pore_water=pore_water)
    not_negative(u_capacity_rel=u_capacity_rel, u_water_rel=u_water_rel, k=k)
    free, brought = capacity + coat_pores - water_present, filtrate + pore_water
    build, dry = free / filtrate, (capacity - water_present) / brought

    def doubt(per: float, water: float, ratio: float) -> float:
        return math.hypot(
            u_capacity_rel * capacity / per, u_water_rel * abs(water) / per, u_water_rel * ratio
        )

    u_build = doubt(filtrate, water_present - coat_pores, build)
    u_dry = doubt(brought, water_present, dry)
    return Take(
        free_ml_per_cm2=free,
        ratio_build=build,
        u_build=u_build,
        ratio_dry=dry,
        u_dry=u_dry,
        verdict=_verdict(build, k * u_build, dry, k * u_dry),
    )


def _verdict(build: float, u_build: float, dry: float, u_dry: float) -> Verdict:
    if dry - u_dry >= 1:
        return "takes_and_dries"
    if build - u_build >= 1:
        return "builds_stays_damp"
    return "will_not_build" if build + u_build < 1 else "uncertain"


def sequence(
    *,
    coats: Sequence[Coat],
    capacity: float,
    rate_g_per_cm2_h: float,
    wait_after_h: Sequence[float],
    u_capacity_rel: float = U_CAPACITY,
    u_water_rel: float = U_WATER,
) -> tuple[AfterCoat, ...]:
    """Coats one after the other, with a wait after each, on a wall that starts dry.

    As many waits as coats, each 0 or more; rate and capacity above 0. ValueError otherwise. Every coat
    counts with all its water, whether it forms or not. Derived; times are lower bounds.
    """
    if len(coats) != len(wait_after_h):
        raise ValueError(f"coats and wait_after_h must pair up, got {len(coats)} and {len(wait_after_h)}")
    positive(capacity=capacity, rate_g_per_cm2_h=rate_g_per_cm2_h)
    water = pores = 0.0
    after = []
    for coat, wait in zip(coats, wait_after_h, strict=True):
        not_negative(wait_after_h=wait)
        parts = coat_water_parts(m=coat.m, sg=coat.sg, rho_s=coat.rho_s, phi_c=coat.phi_c)
        take = will_it_take(
            capacity=capacity,
            coat_pores=pores,
            water_present=water,
            filtrate=parts.filtrate_ml_per_cm2,
            pore_water=parts.pore_water_ml_per_cm2,
            u_capacity_rel=u_capacity_rel,
            u_water_rel=u_water_rel,
        )
        water += parts.water_ml_per_cm2
        pores += parts.pore_water_ml_per_cm2
        after.append(
            AfterCoat(
                ratio_build=take.ratio_build,
                ratio_dry=take.ratio_dry,
                verdict=take.verdict,
                largest_coat_g_per_cm2=max(0.0, coat.m * take.ratio_build),
                set_h=max(0.0, water - capacity - pores) / rate_g_per_cm2_h,
                damp_h=max(0.0, water - capacity) / rate_g_per_cm2_h,
                all_dry_h=water / rate_g_per_cm2_h,
            )
        )
        water = max(0.0, water - wait * rate_g_per_cm2_h)
    return tuple(after)
