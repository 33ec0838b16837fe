"""Measuring specific gravity: weighing a known volume, its uncertainty, and the verdict.

Weighing is the reference. A hydrometer is unreliable in a slurry that has a yield stress or settles
while being read (common practice, no source).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from typing import Literal

from studio.calc.arguments import above, between, finite, not_negative, positive
from studio.calc.water import water_density_kg_per_l

AIR_KG_PER_L = 0.0012  # OIML conventional air (from memory)
GLASS_EXPANSION_PER_C = 25e-6  # conventional value for glass hydrometers, ISO 1768 (opened)
EDGE = 1e-9  # SG values this close to a limit lie on it: the rest is rounding noise

Word = Literal["inside", "outside", "undecided"]


@dataclass(frozen=True)
class SameVessel:
    """SG from slurry against water in one vessel. Densities in kg/L."""

    sg_apparent: float
    rho_water: float
    rho_true: float
    sg_buoyancy_corrected: float


@dataclass(frozen=True)
class Hydrometer:
    """What a hydrometer reading stands for. Densities in kg/L."""

    rho_at_t: float
    sg_t_t: float
    rho_at_t_cal: float


@dataclass(frozen=True)
class Uncertainty:
    """Standard uncertainty of an SG, its two parts, and ``U = k u``."""

    u_from_volume: float
    u_from_mass: float
    u: float
    U: float


@dataclass(frozen=True)
class UncertaintyOfRatio:
    """Standard uncertainty of an SG from one vessel weighed with slurry and with water, and ``U``."""

    u: float
    U: float


@dataclass(frozen=True)
class Verdict:
    """``word``: inside, outside or undecided. ``difference`` = reading - target.

    Inside when the difference is at most ``accept_within`` (negative: nothing can be called inside),
    outside from ``reject_beyond`` on; ``p_inside`` is the chance that the true SG is in the window.
    """

    word: Word
    difference: float
    U: float
    accept_within: float
    reject_beyond: float
    p_inside: float


@dataclass(frozen=True)
class Repeat:
    """Several readings of one stir: mean, largest minus smallest, and whether they agree."""

    mean: float
    spread: float
    agree: bool


@dataclass(frozen=True)
class DryUncertainty:
    """Dry kg in a bucket, its standard uncertainty and the three parts of it, all in kg."""

    dry_kg: float
    u_dry_kg: float
    part_volume_kg: float
    part_sg_kg: float
    part_rho_s_kg: float


# --- weighing


def sg_known_volume(*, gross_g: float, tare_g: float, volume_ml: float, rho_w: float = 1.0) -> float:
    """SG from the weight of a known volume. With ``rho_w`` 1 it is the density in g/mL.

    ``gross_g`` above ``tare_g``, ``tare_g`` 0 or more, ``volume_ml`` and ``rho_w`` above 0. ValueError
    otherwise. Derived: mass over volume over water.
    """
    not_negative(tare_g=tare_g)
    above(tare_g, gross_g=gross_g)
    positive(volume_ml=volume_ml, rho_w=rho_w)
    return (gross_g - tare_g) / volume_ml / rho_w


def sg_same_vessel(*, slurry_g: float, water_g: float, tare_g: float, temperature_c: float) -> SameVessel:
    """SG from one vessel weighed with slurry, with water, and empty; its volume cancels.

    Grams; both fillings above ``tare_g``; 0 to 40 C. ValueError otherwise. Derived; the buoyancy of
    air with OIML conventional air (from memory) shifts 1.45 by -0.0005 and may be ignored.
    """
    not_negative(tare_g=tare_g)
    above(tare_g, slurry_g=slurry_g, water_g=water_g)
    sg = (slurry_g - tare_g) / (water_g - tare_g)
    rho_w = water_density_kg_per_l(temperature_c=temperature_c)
    rho = sg * (rho_w - AIR_KG_PER_L) + AIR_KG_PER_L
    return SameVessel(sg_apparent=sg, rho_water=rho_w, rho_true=rho, sg_buoyancy_corrected=rho / rho_w)


def density_by_hydrometer(
    *,
    reading_sg: float,
    temperature_c: float,
    calibrated_at_c: float,
    water_reference_c: float,
    expansion_per_c: float = GLASS_EXPANSION_PER_C,
) -> float:
    """Density (kg/L) of what a hydrometer floats in, at ``temperature_c`` (0 to 40 C, like the other two).

    ``expansion_per_c`` of its glass, 0 or more. ValueError otherwise. Derived: see ``hydrometer``.
    """
    positive(reading_sg=reading_sg)
    not_negative(expansion_per_c=expansion_per_c)
    between(0, 40, calibrated_at_c=calibrated_at_c, temperature_c=temperature_c)
    rho_w_ref = water_density_kg_per_l(temperature_c=water_reference_c)
    return reading_sg * rho_w_ref * (1 - expansion_per_c * (temperature_c - calibrated_at_c))


def hydrometer(
    *,
    reading_sg: float,
    temperature_c: float,
    calibrated_at_c: float,
    water_reference_c: float,
    w: float,
    rho_s: float,
) -> Hydrometer:
    """What a hydrometer read at ``temperature_c`` says about the density there and at its own mark.

    ``calibrated_at_c`` is the temperature on the stem, ``water_reference_c`` that of the water it counts
    as 1; ``w`` the solids' mass share (0 to 1), ``rho_s`` in kg/L; 0 to 40 C. ValueError otherwise.
    Derived: floating mass = rho x immersed volume; glass grows by 25e-6 per C (ISO 1768, opened);
    particles keep their volume while the water expands.
    """
    positive(rho_s=rho_s)
    between(0, 1, w=w)
    rho_w = water_density_kg_per_l(temperature_c=temperature_c)
    rho_w_cal = water_density_kg_per_l(temperature_c=calibrated_at_c)
    rho = density_by_hydrometer(
        reading_sg=reading_sg,
        temperature_c=temperature_c,
        calibrated_at_c=calibrated_at_c,
        water_reference_c=water_reference_c,
    )
    rho_cal = 1 / (1 / rho + (1 - w) * (1 / rho_w_cal - 1 / rho_w))
    return Hydrometer(rho_at_t=rho, sg_t_t=rho / rho_w, rho_at_t_cal=rho_cal)


# --- uncertainty


def uncertainty_of_weighing(
    *,
    sg: float,
    volume_ml: float,
    tol_volume_ml: float,
    tol_scale_g: float,
    u_fill_ml: float = 0.0,
    weighings: int = 2,
    rho_w: float = 1.0,
    k: float = 2.0,
) -> Uncertainty:
    """How well an SG from a weighed known volume is known.

    ``tol_...`` are half-widths +-a of glass and scale (rectangular, so u = a / sqrt 3); ``u_fill_ml`` is
    the standard uncertainty of filling to the mark, about 0.3 mL in opaque slurry (common practice, no
    source). ``weighings`` 1 or more. ValueError when out of range. Source: first-order propagation,
    JCGM 100 (from memory); agrees with Monte Carlo.
    """
    positive(sg=sg, volume_ml=volume_ml, rho_w=rho_w, k=k)
    not_negative(tol_volume_ml=tol_volume_ml, tol_scale_g=tol_scale_g, u_fill_ml=u_fill_ml)
    between(1, 1000, weighings=weighings)
    u_volume = sg * math.sqrt(tol_volume_ml**2 / 3 + u_fill_ml**2) / volume_ml
    u_mass = tol_scale_g * math.sqrt(weighings / 3) / (volume_ml * rho_w)
    u = math.hypot(u_volume, u_mass)
    return Uncertainty(u_from_volume=u_volume, u_from_mass=u_mass, u=u, U=k * u)


def uncertainty_of_ratio(
    *,
    sg: float,
    volume_ml: float,
    tol_scale_g: float,
    u_fill_ml: float = 0.0,
    rho_w: float = 1.0,
    k: float = 2.0,
) -> UncertaintyOfRatio:
    """How well an SG from one vessel weighed with slurry and with water is known.

    Three weighings (one shared tare) and two fills; the volume needs no calibration. Arguments as in
    ``uncertainty_of_weighing``. Source: first-order propagation, JCGM 100 (from memory).
    """
    positive(sg=sg, volume_ml=volume_ml, rho_w=rho_w, k=k)
    not_negative(tol_scale_g=tol_scale_g, u_fill_ml=u_fill_ml)
    from_mass = tol_scale_g**2 / 3 * (1 + sg**2 + (sg - 1) ** 2) / (volume_ml * rho_w) ** 2
    from_fill = 2 * (sg * u_fill_ml / volume_ml) ** 2
    u = math.sqrt(from_mass + from_fill)
    return UncertaintyOfRatio(u=u, U=k * u)


def uncertainty_of_dry(
    *,
    volume_l: float,
    sg: float,
    rho_s: float,
    u_volume_l: float,
    u_sg: float,
    u_rho_s: float,
    rho_w: float = 1.0,
) -> DryUncertainty:
    """Dry kg in a bucket and how well it is known, from the standard uncertainties of its three parts.

    The particle density is usually the largest part. ``sg`` above 1, ``rho_s`` above ``rho_w``, the
    rest 0 or more. ValueError otherwise. Source: first-order propagation, JCGM 100 (from memory).
    """
    not_negative(volume_l=volume_l, u_volume_l=u_volume_l, u_sg=u_sg, u_rho_s=u_rho_s)
    positive(rho_w=rho_w)
    above(rho_w, rho_s=rho_s)
    above(1, sg=sg)
    rho = sg * rho_w
    dry_per_l = rho_s * (rho - rho_w) / (rho_s - rho_w)
    by_volume = dry_per_l * u_volume_l
    by_sg = volume_l * rho_s * rho_w * u_sg / (rho_s - rho_w)
    by_rho_s = volume_l * rho_w * (rho - rho_w) / (rho_s - rho_w) ** 2 * u_rho_s
    return DryUncertainty(
        dry_kg=dry_per_l * volume_l,
        u_dry_kg=math.hypot(by_volume, by_sg, by_rho_s),
        part_volume_kg=by_volume,
        part_sg_kg=by_sg,
        part_rho_s_kg=by_rho_s,
    )


# --- judging


@lru_cache(maxsize=4096)
def verdict(*, reading: float, target: float, half_window: float, u: float, k: float = 2.0) -> Verdict:
    """Is an SG inside the window, outside it, or can this measurement not tell?

    ``u`` is the standard uncertainty of the reading, 0 or more; ``half_window`` above 0. Inside when
    |reading - target| <= half_window - U, outside when >= half_window + U, else undecided; a reading on
    the very edge of a window known without doubt (U = 0) is inside. ValueError when out of range.
    Source: guard band of JCGM 106 / ISO 14253-1 (from memory; the rule was seen quoted).
    """
    finite(reading=reading, target=target)
    positive(half_window=half_window, k=k)
    not_negative(u=u)
    expanded = k * u
    difference = reading - target
    accept_within, reject_beyond = half_window - expanded, half_window + expanded
    word: Word = "undecided"
    if abs(difference) <= accept_within + EDGE:
        word = "inside"
    elif abs(difference) >= reject_beyond - EDGE:
        word = "outside"
    return Verdict(
        word=word,
        difference=difference,
        U=expanded,
        accept_within=accept_within,
        reject_beyond=reject_beyond,
        p_inside=_p_inside(difference=difference, half_window=half_window, u=u),
    )


def _p_inside(*, difference: float, half_window: float, u: float) -> float:
    if u == 0:
        return 1.0 if abs(difference) <= half_window + EDGE else 0.0
    normal = NormalDist()
    return normal.cdf((half_window - difference) / u) - normal.cdf((-half_window - difference) / u)


def mean_of_readings(*, readings: Sequence[float], agree_within: float = 0.01) -> Repeat:
    """Mean of several SG readings of one stir, and whether they agree within ``agree_within``.

    One reading agrees with itself. Repeats reduce the random part only: the uncertainty of glass and
    scale stays. ValueError when there is none. Limit 0.01: common practice, no source.
    """
    if not readings:
        raise ValueError("readings must hold at least one SG, got none")
    positive(**{f"readings[{i}]": sg for i, sg in enumerate(readings)})
    spread = max(readings) - min(readings)
    return Repeat(mean=sum(readings) / len(readings), spread=spread, agree=spread <= agree_within + EDGE)
