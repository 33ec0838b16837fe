"""From what was measured and written down to what was to be expected next, and what is left unexplained.

Every rule rests on "masses add up, and so do volumes": a logged change moves the SG, glaze taken out does
not. The residual is what came less what was expected. It is held against a moving range with its known
causes removed (quality charts reference 5), never against the window. Litres, grams, SG (no unit).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from statistics import linear_regression

from buckets.calc.changes import Change, sg_after
from studio.calc import spc
from studio.calc.arguments import above, positive

D4 = Decimal(str(spc.D4))
FIRM = 5  # intervals before a fill's own residuals say what is usual; before that the stand-in does
STAND_IN = Decimal("0.010")  # mean residual of a fill too young to have its own; our choice
SAME = Decimal("0.010")  # readings no further apart are one (repeatability to start with, common practice)
MOST_BETWEEN = timedelta(days=30)  # no range is formed across more; our choice
KNOWN_FOR = timedelta(days=14)  # without a reading for longer a bucket in use is not known; our choice
FEWEST_FOR_DRIFT = 3
FURTHEST = 2  # times the span that was seen, and no further; our choice


@dataclass(frozen=True, slots=True)
class Read:
    """A reading that stands: its SG, the level read with it, and whether it is one that intervals join."""

    id: int
    at: datetime
    entered_at: datetime
    sg: Decimal | None
    volume_l: Decimal | None
    joins: bool

    @property
    def place(self) -> tuple[datetime, datetime, int, int]:
        return (self.at, self.entered_at, 0, self.id)


@dataclass(frozen=True, slots=True)
class Did:
    """Something done that stands. ``grams`` None: glaze went out as it was, or (``known`` False) nobody
    knows what it weighed. ``begins``: it is a cause the chart begins anew after. ``use``: not told singly."""

    id: int
    at: datetime
    entered_at: datetime
    what: str
    litres: Decimal
    grams: Decimal | None = None
    begins: bool = False
    known: bool = True
    use: bool = False

    @property
    def place(self) -> tuple[datetime, datetime, int, int]:
        # At one moment what was written down with or after a reading comes after it.
        return (self.at, self.entered_at, 1, self.id)


@dataclass(frozen=True, slots=True)
class Expected:
    """One interval: from reading ``since`` to ``reading``, what was expected and what is left over."""

    since: int
    since_at: datetime
    since_sg: Decimal
    reading: int
    at: datetime
    sg: Decimal
    predicted_sg: Decimal | None
    residual: Decimal | None
    begins_segment: bool
    used_l: Decimal
    added_l: Decimal
    added_g: Decimal
    logged: list[dict[str, str]]


@dataclass(frozen=True, slots=True)
class Told:
    """A history told to its end: its intervals, and whether a known cause came after the last reading."""

    intervals: list[Expected]
    begun: bool


@dataclass(slots=True)
class _Way:
    """What has happened since the last reading that joins."""

    since: Read
    first_sg: Decimal
    sg: float | None
    begins: bool = False
    used_l: Decimal = Decimal("0.000")
    added_l: Decimal = Decimal("0.000")
    added_g: Decimal = Decimal("0.000")
    logged: list[dict[str, str]] = field(default_factory=list)

    def take(self, did: Did, volume_l: Decimal | None) -> None:
        """Go on by one thing done to ``volume_l`` litres (None: not known how many)."""
        self.begins = self.begins or did.begins
        if did.use or (did.grams is None and did.known):
            self.used_l -= did.litres
        else:
            self.added_l += did.litres
            self.added_g += did.grams or 0
            self.sg = self._changed(did, volume_l)
        if not did.use:
            at = did.at.isoformat()
            self.logged.append({"at": at, "what": did.what, "l": f"{did.litres:.3f}"})

    def _changed(self, did: Did, volume_l: Decimal | None) -> float | None:
        if self.sg is None or not did.known or did.grams is None:
            return None
        if not did.litres and not did.grams:
            return self.sg
        if volume_l is None or volume_l <= 0:
            return None
        change = Change(float(did.litres), float(did.grams))
        after = sg_after(volume_l=float(volume_l), sg=self.sg, change=change)
        return None if after is None or after < 1 else after


def tell(happened: Iterable[Read | Did], *, volume_l: Decimal | None) -> Told:
    """The intervals of a history in order of ``place``, with ``volume_l`` in the bucket before it.

    Between two readings that join: the first SG, moved by every change in litres and grams, kept by what was
    taken out. A level read on the way says how many litres the next change went into.
    """
    way: _Way | None = None
    found: list[Expected] = []
    for one in happened:
        if isinstance(one, Did):
            if way:
                way.take(one, volume_l)
            volume_l = None if volume_l is None else volume_l + one.litres
            continue
        if one.volume_l is not None:
            volume_l = one.volume_l
        if one.joins and one.sg is not None:
            if way:
                found.append(_expected(way, one, one.sg))
            way = _Way(since=one, first_sg=one.sg, sg=float(one.sg))
    return Told(found, begun=way is not None and way.begins)


def _expected(way: _Way, reading: Read, sg: Decimal) -> Expected:
    predicted = None if way.sg is None else _places(way.sg, 4)
    near = reading.at - way.since.at <= MOST_BETWEEN
    return Expected(
        since=way.since.id,
        since_at=way.since.at,
        since_sg=way.first_sg,
        reading=reading.id,
        at=reading.at,
        sg=sg,
        predicted_sg=predicted,
        residual=sg - predicted if predicted is not None and near else None,
        begins_segment=way.begins,
        used_l=way.used_l,
        added_l=way.added_l,
        added_g=way.added_g,
        logged=way.logged,
    )


def _places(value: float, places: int) -> Decimal:
    return Decimal(repr(value)).quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


# --- what is beyond the usual


def limit_of(*, count: int, total: Decimal) -> Decimal:
    """Beyond which a residual is unexplained: 3.267 x mean residual without sign, over all intervals.

    ``count`` intervals with residuals of ``total`` in sum, both 0 or more. Fewer than 5: a stand-in mean of
    0.010. Never under 0.010: two readings no further apart are the same one.
    """
    if count < 0 or total < 0:
        raise ValueError(f"count and total must be 0 or more, got {count}, {total}")
    mean = total / count if count >= FIRM else STAND_IN
    return max(D4 * mean, SAME)


def is_unexplained(residual: Decimal | None, *, count: int, total: Decimal) -> bool:
    """Whether a residual lies beyond the limit of its fill; without a residual there is nothing to say.

    A fill too young for a usual of its own is asked about when its SG fell: that it rises is water leaving,
    as is to be expected (quality charts reference 5.1; our choice).
    """
    if residual is None or (count < FIRM and residual > 0):
        return False
    return abs(residual) > limit_of(count=count, total=total)


def water_that_explains(
    *,
    expected_sg: float,
    sg: float,
    volume_after_l: float | None = None,
    volume_before_l: float | None = None,
) -> float | None:
    """Litres of clear water nobody wrote down that lead from the expected SG to the one read.

    Positive: water went in; negative: water was lost. From the level read with it (``volume_after_l``): V2
    (SG1 - SG2)/(SG1 - 1); else from the litres before. None when neither is known or an SG is not above 1.
    Derived: masses and volumes add up. ValueError for litres that are not above 0.
    """
    if expected_sg <= 1 or sg <= 1:
        return None
    if volume_after_l is not None:
        positive(volume_after_l=volume_after_l)
        return volume_after_l * (expected_sg - sg) / (expected_sg - 1)
    if volume_before_l is None:
        return None
    positive(volume_before_l=volume_before_l)
    return volume_before_l * (expected_sg - sg) / (sg - 1)


# --- where it drifts to


@dataclass(frozen=True)
class Drift:
    """How fast the SG rises (a day), and in how many days from the last reading it meets the edge."""

    per_day: float
    reaches_in_days: float | None


def drift(*, days: Sequence[float], sg: Sequence[float], edge: float) -> Drift | None:
    """A straight line through the readings of one segment, and when it meets the window's upper ``edge``.

    ``days`` rising, three readings or more; None when they do not rise or lie on one day. Beyond twice the
    span that was seen nothing is said, nor once the last reading is at the edge (quality charts reference
    5.4; our choice). ValueError when days and SG are not as many, or an SG is not above 0.
    """
    if len(days) != len(sg):
        raise ValueError(f"{len(days)} days and {len(sg)} gravities")
    above(0, **{f"sg_{i}": value for i, value in enumerate(sg)})
    if len(days) < FEWEST_FOR_DRIFT or days[-1] <= days[0]:
        return None
    slope, start = linear_regression(days, sg)
    if slope <= 0:
        return None
    ahead = (edge - start) / slope - days[-1]
    told = sg[-1] < edge and ahead <= FURTHEST * (days[-1] - days[0])
    return Drift(per_day=slope, reaches_in_days=max(ahead, 0.0) if told else None)
