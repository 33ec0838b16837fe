"""Measured once more: two readings of one stir, whether they agree, and the mean that counts then."""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import NamedTuple

from buckets.models import Reading
from studio.calc.gravity import EDGE, mean_of_readings
from studio.quantities import rounded

SAME_STIR = timedelta(hours=18)  # overnight still counts as one; common practice, no source


class Counts(NamedTuple):
    """SG and standard uncertainty that count for a bucket: one reading's, or a mean of two."""

    sg: Decimal
    u_sg: Decimal | None


@dataclass(frozen=True, kw_only=True)
class Together:
    """A reading and the one it repeats: ``spread`` apart, ``agree`` within the studio's limit."""

    first: Reading
    spread: Decimal
    agree: bool
    mean: Counts


def counting(
    sg: Decimal, u_sg: Decimal | None, first_sg: Decimal | None, first_u: Decimal | None, within: Decimal
) -> Counts:
    """What counts: the mean with the reading it repeats where the two agree, else the newer one alone.

    The mean is known no better than the worse of the two: glass and scale stay the same, and their part
    does not shrink by measuring again. ``first_sg`` None: nothing standing is repeated.
    """
    if first_sg is None or abs(float(sg - first_sg)) > float(within) + EDGE:
        return Counts(sg, u_sg)
    known = [u for u in (u_sg, first_u) if u is not None]
    mean = mean_of_readings(readings=[float(sg), float(first_sg)], agree_within=float(within)).mean
    return Counts(rounded(mean, 4), max(known) if len(known) == 2 else None)


def standing_first(reading: Reading) -> Reading | None:
    """The reading that this one repeats, if it stands. Fetch with ``repeats__replaced_by``."""
    first = reading.repeats
    if first is None or first.sg is None or hasattr(first, "replaced_by"):
        return None
    return first


def together(reading: Reading, first: Reading, within: Decimal) -> Together:
    """Two standing readings of one stir side by side."""
    assert reading.sg is not None and first.sg is not None  # noqa: S101, PT018 - both are readings
    spread = abs(reading.sg - first.sg)
    mean = counting(reading.sg, reading.u_sg, first.sg, first.u_sg, within)
    return Together(first=first, spread=spread, agree=float(spread) <= float(within) + EDGE, mean=mean)
