"""How near a line must come to its target, and which scale it belongs on.

The bands and the 82 divisions are the reference's defaults: bands common practice, no source; 82
divisions from the form of USP <41> at 1 % (secondary page opened). A studio may set others.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Literal

from studio.calc.apportion import round_to_step


@dataclass(frozen=True)
class Bands:
    """Half-widths in % of the target, and the least one in grams for colourants and opacifiers."""

    large_pct: Decimal = Decimal(1)  # lines from large_share_pct of the recipe on
    small_pct: Decimal = Decimal(1)
    large_share_pct: Decimal = Decimal(5)
    fine_pct: Decimal = Decimal("0.5")  # colourants and opacifiers
    fine_least_g: Decimal = Decimal("0.1")
    additive_pct: Decimal = Decimal(2)  # gums, deflocculants, suspenders


DEFAULT_BANDS = Bands()


@dataclass(frozen=True)
class Judged:
    """A weighed line against its target: ``difference_g`` = net - target; inside, over or under."""

    word: Literal["inside", "over", "under"]
    difference_g: Decimal
    difference_pct: Decimal


@dataclass(frozen=True)
class Scale:
    """A scale as the choice needs it.

    ``kept_free_g`` is what the container and a margin take of its capacity; ``smallest_g`` overrides the
    number of divisions.
    """

    key: str
    capacity_g: Decimal
    division_g: Decimal
    kept_free_g: Decimal = Decimal(0)
    smallest_g: Decimal | None = None


@dataclass(frozen=True)
class ScaleChoice:
    """The scale for a line, its loads and why: ``fine``, ``over fine``, ``bulk``, ``small``, ``too small``.

    ``fine``: a colourant or opacifier on the finest scale; ``over fine``: one that is too heavy for it;
    ``small``: too light for a coarser scale; ``bulk``: any other; ``too small``: under the smallest
    sensible weight of every scale, so ``sensible`` is False and a premix is the way out.
    """

    scale: Scale
    loads: int
    smallest_g: Decimal
    sensible: bool
    why: Literal["fine", "over fine", "bulk", "small", "too small"]


@dataclass(frozen=True)
class Loads:
    """How often the pan is filled: ``each_g`` targets that sum to the line, none over ``most_g``."""

    count: int
    most_g: Decimal
    each_g: tuple[Decimal, ...]


@dataclass(frozen=True)
class NextLoad:
    """The load to weigh now: its number (from 1), how many in all, its target and what the line misses."""

    number: int
    count: int
    target_g: Decimal
    missing_g: Decimal


def accept_band_g(
    *,
    target_g: Decimal,
    share_pct: Decimal,
    division_g: Decimal,
    colourant: bool = False,
    opacifier: bool = False,
    additive: bool = False,
    bands: Bands = DEFAULT_BANDS,
) -> Decimal:
    """Half-width in grams within which a line is accepted, exact (round it for showing only).

    Percent of the target by kind: colourant or opacifier, else additive (gum, deflocculant,
    suspender), else by its ``share_pct`` of the whole recipe; never under one division of the scale it
    is weighed on. Targets above 0. ValueError otherwise.
    """
    _above_zero(target_g=target_g, division_g=division_g, share_pct=share_pct)
    if colourant or opacifier:
        band = max(target_g * bands.fine_pct / 100, bands.fine_least_g)
    elif additive:
        band = target_g * bands.additive_pct / 100
    elif share_pct >= bands.large_share_pct:
        band = target_g * bands.large_pct / 100
    else:
        band = target_g * bands.small_pct / 100
    return max(band, division_g)


def in_band(*, net_g: Decimal, target_g: Decimal, band_g: Decimal) -> bool:
    """Is the sum of a line's loads within its band, edges included?"""
    return abs(net_g - target_g) <= band_g


def judge(*, net_g: Decimal, target_g: Decimal, band_g: Decimal) -> Judged:
    """The difference of a weighed line in grams and in % of its target, and the word for it."""
    _above_zero(target_g=target_g)
    difference = net_g - target_g
    if in_band(net_g=net_g, target_g=target_g, band_g=band_g):
        word: Literal["inside", "over", "under"] = "inside"
    else:
        word = "over" if difference > 0 else "under"
    return Judged(word=word, difference_g=difference, difference_pct=100 * difference / target_g)


def smallest_sensible_g(*, scale: Scale, smallest_divisions: Decimal = Decimal(82)) -> Decimal:
    """The least weight a scale is trusted with: 82 divisions, so 8.2 g at 0.1 g and 82 g at 1 g."""
    return scale.division_g * smallest_divisions if scale.smallest_g is None else scale.smallest_g


def choose_scale(
    *,
    target_g: Decimal,
    scales: Sequence[Scale],
    smallest_divisions: Decimal = Decimal(82),
    colourant: bool = False,
    opacifier: bool = False,
) -> ScaleChoice:
    """The scale a line is weighed on.

    Of the scales that the target is not too light for, those with the fewest loads; of these a colourant
    or opacifier takes the finest, any other line the coarsest. ValueError when the target is not above 0
    or no scale has room for anything. Derived from the reference's routing rule.
    """
    _above_zero(target_g=target_g)
    roomy = [scale for scale in scales if _most_g(scale) > 0]
    if not roomy:
        raise ValueError("scales must hold one with room for a load, got none")
    finest_first = sorted(roomy, key=lambda scale: (scale.division_g, scale.capacity_g))
    finest = finest_first[0]

    def counted(scale: Scale) -> int:
        return _count(target_g, _most_g(scale))

    def least(scale: Scale) -> Decimal:
        return smallest_sensible_g(scale=scale, smallest_divisions=smallest_divisions)

    sensible = [scale for scale in finest_first if target_g >= least(scale)]
    if not sensible:
        return ScaleChoice(
            scale=finest, loads=counted(finest), smallest_g=least(finest), sensible=False, why="too small"
        )
    fewest = min(counted(scale) for scale in sensible)
    fitting = [scale for scale in sensible if counted(scale) == fewest]
    fine = colourant or opacifier
    chosen = fitting[0] if fine else fitting[-1]
    return ScaleChoice(
        scale=chosen,
        loads=fewest,
        smallest_g=least(chosen),
        sensible=True,
        why=_why(chosen, finest_first, sensible, fine=fine),
    )


def _why(
    chosen: Scale, finest_first: Sequence[Scale], sensible: Sequence[Scale], *, fine: bool
) -> Literal["fine", "over fine", "bulk", "small"]:
    if fine:
        return "fine" if chosen == finest_first[0] else "over fine"
    return "small" if chosen != finest_first[-1] and finest_first[-1] not in sensible else "bulk"


def loads(
    *,
    target_g: Decimal,
    capacity_g: Decimal,
    division_g: Decimal,
    container_g: Decimal = Decimal(0),
    margin_g: Decimal = Decimal(0),
) -> Loads:
    """A line in even loads that the scale can carry with its container on, plus a margin kept free.

    The loads are multiples of ``division_g``, but for the last, and sum to ``target_g`` exactly.
    ValueError when the pan has no room or an amount is not above 0. Rule: loads = target over what is
    free, rounded up (common practice, no source).
    """
    _above_zero(target_g=target_g, capacity_g=capacity_g, division_g=division_g)
    free = capacity_g - container_g - margin_g
    most = _whole_divisions(free, division_g)
    if most <= 0:
        raise ValueError(f"capacity_g must exceed container and margin by a division, got {free} g free")
    count = _count(target_g, most)
    each: list[Decimal] = []
    for left in range(count, 0, -1):
        remaining = target_g - sum(each, Decimal(0))
        each.append(_share(remaining, left, most, division_g))
    return Loads(count=count, most_g=most, each_g=tuple(each))


def next_load(
    *, target_g: Decimal, accepted_g: Sequence[Decimal], most_g: Decimal, division_g: Decimal
) -> NextLoad:
    """The load to weigh after those in ``accepted_g``: what is missing, shared evenly over the loads left.

    The last load's target is the line's target less all that was accepted. ``missing_g`` may be negative
    when too much was accepted; ``target_g`` of the load is then 0 and ``count`` what was weighed. ``most_g``
    as ``loads`` gives it.
    """
    _above_zero(target_g=target_g, most_g=most_g, division_g=division_g)
    missing = target_g - sum(accepted_g, Decimal(0))
    done = len(accepted_g)
    if missing <= 0:
        return NextLoad(number=done, count=done, target_g=Decimal(0), missing_g=missing)
    left = _count(missing, most_g)
    return NextLoad(
        number=done + 1,
        count=done + left,
        target_g=_share(missing, left, most_g, division_g),
        missing_g=missing,
    )


def _most_g(scale: Scale) -> Decimal:
    return _whole_divisions(scale.capacity_g - scale.kept_free_g, scale.division_g)


def _whole_divisions(amount_g: Decimal, division_g: Decimal) -> Decimal:
    """A load is a whole number of divisions, so the most it may be is one too."""
    return division_g * int(amount_g / division_g)


def _count(target_g: Decimal, most_g: Decimal) -> int:
    return int((target_g / most_g).to_integral_value(rounding=ROUND_CEILING))


def _share(remaining_g: Decimal, left: int, most_g: Decimal, division_g: Decimal) -> Decimal:
    if left == 1:
        return remaining_g
    return min(round_to_step(amount=remaining_g / left, step=division_g), most_g)


def _above_zero(**values: Decimal) -> None:
    for name, value in values.items():
        if not (value.is_finite() and value > 0):
            raise ValueError(f"{name} must be above 0, got {value}")
