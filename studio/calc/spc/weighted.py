"""Charts that remember: the exponentially weighted mean, evenly or unevenly spaced, and the cumulated sum."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from studio.calc.arguments import finite, not_negative, positive


@dataclass(frozen=True)
class Ewma:
    """``z`` after each value (the start, z0 = target, is not in it) with its limits; ``out`` from 1."""

    z: list[float]
    ucl: float | list[float]
    lcl: float | list[float]
    out: list[int]


@dataclass(frozen=True)
class EwmaLimits:
    """Exact limits at the first, second ... value: narrow at first, then steady."""

    lcl: list[float]
    ucl: list[float]


@dataclass(frozen=True)
class IrregularEwma:
    """Weights by the days that lay between; ``half_width`` = k x root of the variance at each point."""

    tau_days: float
    lam: list[float]
    z: list[float]
    half_width: list[float]
    out: list[int]


@dataclass(frozen=True)
class Cusum:
    """Sums of what lies above and below the target beyond ``k``; the first point over ``h`` (from 1)."""

    s_hi: list[float]
    s_lo: list[float]
    first_signal: int | None


def ewma_limits(*, lam: float, target: float, sigma: float, k: float, n: int) -> EwmaLimits:
    """target +- k sigma root(lam/(2-lam) (1-(1-lam)^2i)) for i = 1 ... ``n``.

    ``lam`` above 0 up to 1, ``sigma`` and ``k`` 0 or more, in the unit of the target; ValueError otherwise.
    """
    _weight(lam)
    finite(target=target)
    not_negative(sigma=sigma, k=k, n=n)
    share = lam / (2 - lam)
    half = [k * sigma * math.sqrt(share * (1 - (1 - lam) ** (2 * i))) for i in range(1, n + 1)]
    return EwmaLimits(lcl=[target - wide for wide in half], ucl=[target + wide for wide in half])


def ewma_chart(
    *,
    x: Sequence[float],
    lam: float,
    target: float,
    sigma: float,
    k: float = 3.0,
    limits: str = "exact",
) -> Ewma:
    """z_i = lam x_i + (1 - lam) z_(i-1), beginning at the target.

    ``limits``: "steady" (one pair) or "exact" (a pair for each value). NIST/SEMATECH e-Handbook 6.3.2.4,
    values as read in public test suites. ValueError for another word or arguments out of range.
    """
    if limits not in ("steady", "exact"):
        raise ValueError(f"limits are steady or exact, got {limits}")
    exact = ewma_limits(lam=lam, target=target, sigma=sigma, k=k, n=len(x))
    steady = k * sigma * math.sqrt(lam / (2 - lam))
    z, before = [], target
    for value in x:
        finite(x=value)
        before = lam * value + (1 - lam) * before
        z.append(before)
    if limits == "steady":
        out = [i for i, at in enumerate(z, 1) if abs(at - target) > steady]
        return Ewma(z=z, ucl=target + steady, lcl=target - steady, out=out)
    pairs = zip(z, exact.lcl, exact.ucl, strict=True)
    out = [i for i, (at, low, high) in enumerate(pairs, 1) if not low <= at <= high]
    return Ewma(z=z, ucl=exact.ucl, lcl=exact.lcl, out=out)


def ewma_irregular(
    *,
    days: Sequence[float],
    deviation: Sequence[float],
    sigma: float,
    lam: float,
    lam_days: float,
    k: float = 3.0,
) -> IrregularEwma:
    """Readings at uneven times: lam_i = 1 - exp(-dt/tau) with tau = -``lam_days``/ln(1 - ``lam``).

    ``days`` not falling; ``deviation`` is reading less target; the variance is that of a weighted sum of
    independent readings, V_i = lam_i^2 sigma^2 + (1 - lam_i)^2 V_(i-1), nothing before the first. The first
    point has ``lam`` itself (above 0, under 1). Constructed; that such charts are established was opened.
    """
    _weight(lam)
    positive(lam_days=lam_days, rest=1 - lam)
    not_negative(sigma=sigma, k=k)
    if len(days) != len(deviation) or any(b < a for a, b in pairwise(days)):
        raise ValueError("days must be as many as deviations, and not fall")
    tau = -lam_days / math.log(1 - lam)
    weights = [lam, *(-math.expm1(-(b - a) / tau) for a, b in pairwise(days))][: len(days)]
    z, half_width, mean, variance = [], [], 0.0, 0.0
    for weight, value in zip(weights, deviation, strict=True):
        finite(deviation=value)
        mean = weight * value + (1 - weight) * mean
        variance = weight**2 * sigma**2 + (1 - weight) ** 2 * variance
        z.append(mean)
        half_width.append(k * math.sqrt(variance))
    out = [i for i, (at, wide) in enumerate(zip(z, half_width, strict=True), 1) if abs(at) > wide]
    return IrregularEwma(tau_days=tau, lam=weights, z=z, half_width=half_width, out=out)


def cusum(*, x: Sequence[float], target: float, k: float, h: float) -> Cusum:
    """Tabular sums: up S+ = max(0, S+ + x - target - k), down likewise; a signal is over ``h``.

    ``k`` (0 or more) and ``h`` (above 0) are in the unit of ``x``, not in sigmas. NIST/SEMATECH e-Handbook
    6.3.2.3, values as read in public test suites. ValueError otherwise.
    """
    finite(target=target)
    not_negative(k=k)
    positive(h=h)
    s_hi, s_lo, high, low = [], [], 0.0, 0.0
    for value in x:
        finite(x=value)
        high = max(0.0, high + value - target - k)
        low = max(0.0, low + target - k - value)
        s_hi.append(high)
        s_lo.append(low)
    pairs = enumerate(zip(s_hi, s_lo, strict=True), 1)
    return Cusum(s_hi=s_hi, s_lo=s_lo, first_signal=next((i for i, s in pairs if max(s) > h), None))


def _weight(lam: float) -> None:
    if not (math.isfinite(lam) and 0 < lam <= 1):
        raise ValueError(f"lam must be above 0 and at most 1, got {lam}")
