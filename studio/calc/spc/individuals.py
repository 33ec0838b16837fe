"""Charts of single values: limits from the ranges between neighbours, whole, in segments, by count."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

from studio.calc.arguments import at_least, finite, positive

D2 = 1.128  # mean range of two values in standard deviations (from memory)
D4 = 3.267  # upper limit of ranges of two (from memory); 3/1.128 is printed as 2.66 (opened)
SIGMAS = 3.0
TRIAL, LOCKED = 5, 12  # points; sources quote 5-6 as useful, 20-30 as firm (opened). A choice of ours
CHUNKY = 3  # possible ranges inside the limit, or fewer (Wheeler, from memory)


@dataclass(frozen=True)
class Individuals:
    """Limits of single values and of the ranges between them; ``out``: points beyond, counted from 1."""

    mean: float
    moving_ranges: list[float]
    mr_bar: float
    sigma: float
    ucl: float
    lcl: float
    mr_ucl: float
    mr_lcl: float
    out: list[int]


@dataclass(frozen=True)
class Segmented:
    """Ranges and sigma pooled within segments, a mean for each, limits of the last [lower, upper]."""

    mr_bar: float
    sigma: float
    means: list[float]
    limits: list[float]


@dataclass(frozen=True)
class Resolution:
    """Whether values come in steps too coarse for limits: ``chunky`` with 3 possible ranges or fewer."""

    mr_bar: float
    sigma: float
    mr_ucl: float
    possible_mr_values_below_ucl: int
    chunky: bool
    resolution_over_sigma: float | None


@dataclass(frozen=True)
class Status:
    """What so many points allow: ``window only``, ``trial`` limits, or ``locked`` ones with run rules."""

    n: int
    status: str
    mean: float | None
    mr_bar: float | None
    ucl: float | None
    lcl: float | None
    run_rules_enabled: bool


def moving_ranges(x: Sequence[float]) -> list[float]:
    """How far each value lies from the one before it; one fewer than there are values."""
    finite(**{f"x{i}": value for i, value in enumerate(x)})
    return [abs(b - a) for a, b in pairwise(x)]


def individuals_chart(*, x: Sequence[float]) -> Individuals:
    """Mean +- 3 x mean range / 1.128 of at least two values, in their own unit.

    NIST/SEMATECH e-Handbook 6.3.2.2, values as read in public test suites. The ordinary standard deviation
    is the wrong measure here: it holds slow changes that the ranges leave out. ValueError under two values.
    """
    ranges = moving_ranges(x)
    _refuse_too_few(len(x), 2)
    mean, mr_bar = fmean(x), fmean(ranges)
    sigma = mr_bar / D2
    ucl, lcl = mean + SIGMAS * sigma, mean - SIGMAS * sigma
    return Individuals(
        mean=mean,
        moving_ranges=ranges,
        mr_bar=mr_bar,
        sigma=sigma,
        ucl=ucl,
        lcl=lcl,
        mr_ucl=D4 * mr_bar,
        mr_lcl=0.0,
        out=[i for i, value in enumerate(x, 1) if not lcl <= value <= ucl],
    )


def segmented_chart(*, x: Sequence[float], segment_starts: Sequence[int]) -> Segmented:
    """Values in segments that begin at ``segment_starts`` (counted from 1, the first is 1, rising).

    A deliberate adjustment starts a segment: the range across it is dropped, sigma is pooled over all
    segments, the mean is each segment's own. ValueError when the starts do not fit or no range is left.
    """
    starts = list(segment_starts)
    if not starts or starts[0] != 1 or any(a >= b for a, b in pairwise(starts)) or starts[-1] > len(x):
        raise ValueError(f"segments must begin at 1 and rise up to {len(x)}, got {starts}")
    parts = [x[a - 1 : b - 1] for a, b in pairwise([*starts, len(x) + 1])]
    ranges = [value for part in parts for value in moving_ranges(part)]
    _refuse_too_few(len(ranges), 1)
    mr_bar = fmean(ranges)
    sigma, means = mr_bar / D2, [fmean(part) for part in parts]
    limits = [means[-1] - SIGMAS * sigma, means[-1] + SIGMAS * sigma]
    return Segmented(mr_bar=mr_bar, sigma=sigma, means=means, limits=limits)


def possible_ranges(*, limit: float, resolution: float) -> int:
    """How many ranges 0, 1, 2 ... times ``resolution`` (above 0) lie at or under ``limit`` (0 or more)."""
    positive(resolution=resolution)
    at_least(0, limit=limit)
    return int(limit / resolution + 1e-9) + 1


def resolution_check(*, x: Sequence[float], resolution: float) -> Resolution:
    """Whether ``x``, read in steps of ``resolution`` (same unit, above 0), is too coarse for limits.

    Three possible ranges or fewer inside the limit of ranges: chunky (Wheeler, from memory). Then the points
    and the window are shown, the limits hidden, and it is said why. ValueError under two values.
    """
    chart = individuals_chart(x=x)
    possible = possible_ranges(limit=chart.mr_ucl, resolution=resolution)
    return Resolution(
        mr_bar=chart.mr_bar,
        sigma=chart.sigma,
        mr_ucl=chart.mr_ucl,
        possible_mr_values_below_ucl=possible,
        chunky=possible <= CHUNKY,
        resolution_over_sigma=resolution / chart.sigma if chart.sigma else None,
    )


def status_of(count: int) -> str:
    """``window only`` under 5 points, ``trial`` limits to 11, ``locked`` from 12 on. A choice of ours."""
    if count < TRIAL:
        return "window only"
    return "trial" if count < LOCKED else "locked"


def chart_status(*, x: Sequence[float]) -> Status:
    """What the points there are allow, with the limits that may be drawn.

    Under 5 none. From 5 to 11 trial limits, redrawn at each point, for the 3-sigma rule alone. From 12 the
    limits of the first 12 stand, until a logged change begins anew: limits worked out again at every point
    would hide a drift. Our choice; sources quote 5 or 6 useful points (opened).
    """
    n, status = len(x), status_of(len(x))
    if status == "window only":
        mean = fmean(x) if x else None
        return Status(n, status, mean, None, None, None, run_rules_enabled=False)
    chart = individuals_chart(x=x[:LOCKED])
    return Status(
        n, status, chart.mean, chart.mr_bar, chart.ucl, chart.lcl, run_rules_enabled=status == "locked"
    )


def _refuse_too_few(count: int, least: int) -> None:
    if count < least:
        raise ValueError(f"at least {least} wanted, got {count}")
