"""From a recipe as it stands in the notebook to the grams of every line.

The base sums for itself, additions come on top; parts may have any sum. All arithmetic is exact:
fractions inside, decimals that a scale can show outside.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from studio.calc.apportion import largest_remainder, round_to_step

Kind = Literal["base", "addition"]

PLACES = Decimal("0.0001")  # percent and exact grams are told to this many places


@dataclass(frozen=True)
class RecipeLine:
    """One line as typed. ``key`` is whatever the caller knows the line by; ``parts`` above 0."""

    key: str
    kind: Kind
    parts: Decimal


@dataclass(frozen=True)
class PercentLine:
    """One line in percent of the base (additions over 100) and in percent of everything."""

    key: str
    kind: Kind
    pct_of_base: Decimal
    share_pct: Decimal


@dataclass(frozen=True)
class Percents:
    """A recipe in percent: the base is 100, ``total_pct`` is base and additions together."""

    lines: tuple[PercentLine, ...]
    base_parts: Decimal
    total_parts: Decimal
    total_pct: Decimal


@dataclass(frozen=True)
class PlannedLine:
    """One line to weigh: ``mass_g`` is a multiple of ``division_g``, ``exact_g`` what it stands for."""

    key: str
    kind: Kind
    pct_of_base: Decimal
    share_pct: Decimal
    exact_g: Decimal
    mass_g: Decimal
    division_g: Decimal


@dataclass(frozen=True)
class Plan:
    """The lines of a batch. ``base_g`` and ``total_g`` are the exact sums of their ``mass_g``.

    ``exact_total_g`` is what was asked for; ``rounding_g`` = ``total_g`` - ``exact_total_g``, at most half a
    division of the coarsest scale either way. A line in ``too_small`` would round to nothing.
    """

    lines: tuple[PlannedLine, ...]
    base_g: Decimal
    total_g: Decimal
    exact_base_g: Decimal
    exact_total_g: Decimal
    rounding_g: Decimal
    too_small: tuple[str, ...]


def percents(*, lines: Sequence[RecipeLine]) -> Percents:
    """Every line in percent of the base and of everything, to four places.

    ValueError when there is no base line or a part is not above 0.
    """
    base, total = _sums(lines)
    return Percents(
        lines=tuple(_percent_line(line, base, total) for line in lines),
        base_parts=_decimal(base),
        total_parts=_decimal(total),
        total_pct=_decimal(100 * total / base),
    )


def exact_masses_g(
    *, lines: Sequence[RecipeLine], total_dry_g: Decimal | None = None, base_g: Decimal | None = None
) -> dict[str, Decimal]:
    """Grams of every line before any rounding to a scale, to four places: what a scale is chosen by.

    Give either ``total_dry_g`` (base and additions) or ``base_g``, above 0. ValueError otherwise.
    """
    whole = _whole(lines, total_dry_g=total_dry_g, base_g=base_g)
    _, total = _sums(lines)
    return {line.key: _decimal(whole * Fraction(line.parts) / total) for line in lines}


def scale_lines(
    *,
    lines: Sequence[RecipeLine],
    divisions_g: Mapping[str, Decimal],
    total_dry_g: Decimal | None = None,
    base_g: Decimal | None = None,
) -> Plan:
    """The grams to weigh of every line, whose sum is the total to the last division.

    Give either ``total_dry_g`` (base and additions) or ``base_g``, in grams above 0, and for every line
    the division of the scale it is weighed on. Lines of one scale share by largest remainder. Finer
    scales go first, each line staying next to its exact mass; the coarser then take what is left of the
    total, to their own division, so that a colourant never carries the rounding of the bulk. ValueError
    when amounts or divisions are not above 0, or a line has no division. Method: largest remainder
    (common practice, no source); order of the scales derived.
    """
    whole = _whole(lines, total_dry_g=total_dry_g, base_g=base_g)
    base, total = _sums(lines)
    missing = [line.key for line in lines if line.key not in divisions_g]
    if missing:
        raise ValueError(f"divisions_g must name every line, got none for {', '.join(missing)}")
    masses = _apportioned(lines, divisions_g, whole=whole, total=total)
    planned = tuple(
        _planned(line, masses, divisions_g, base=base, total=total, whole=whole) for line in lines
    )
    total_g = sum(masses.values(), Decimal(0))
    exact_total = _decimal(whole)
    return Plan(
        lines=planned,
        base_g=sum((line.mass_g for line in planned if line.kind == "base"), Decimal(0)),
        total_g=total_g,
        exact_base_g=_decimal(whole * base / total),
        exact_total_g=exact_total,
        rounding_g=total_g - exact_total,
        too_small=tuple(line.key for line in planned if line.mass_g == 0),
    )


def _apportioned(
    lines: Sequence[RecipeLine], divisions_g: Mapping[str, Decimal], *, whole: Fraction, total: Fraction
) -> dict[str, Decimal]:
    masses: dict[str, Decimal] = {}
    steps = sorted({divisions_g[line.key] for line in lines})
    for step in steps:
        group = [line for line in lines if divisions_g[line.key] == step]
        if step == steps[-1]:
            wanted = max(Fraction(0), whole - Fraction(sum(masses.values(), Decimal(0))))
        else:
            wanted = whole * sum(Fraction(line.parts) for line in group) / total
        shared = largest_remainder(shares=[line.parts for line in group], total=wanted, step=step)
        masses.update(zip((line.key for line in group), shared, strict=True))
    return masses


def _planned(
    line: RecipeLine,
    masses: Mapping[str, Decimal],
    divisions_g: Mapping[str, Decimal],
    *,
    base: Fraction,
    total: Fraction,
    whole: Fraction,
) -> PlannedLine:
    percent = _percent_line(line, base, total)
    return PlannedLine(
        key=line.key,
        kind=line.kind,
        pct_of_base=percent.pct_of_base,
        share_pct=percent.share_pct,
        exact_g=_decimal(whole * Fraction(line.parts) / total),
        mass_g=masses[line.key],
        division_g=divisions_g[line.key],
    )


def _percent_line(line: RecipeLine, base: Fraction, total: Fraction) -> PercentLine:
    parts = Fraction(line.parts)
    return PercentLine(
        key=line.key,
        kind=line.kind,
        pct_of_base=_decimal(100 * parts / base),
        share_pct=_decimal(100 * parts / total),
    )


def _sums(lines: Sequence[RecipeLine]) -> tuple[Fraction, Fraction]:
    """Parts of the base and of everything."""
    for line in lines:
        if not (line.parts.is_finite() and line.parts > 0):
            raise ValueError(f"parts of {line.key} must be above 0, got {line.parts}")
    if len({line.key for line in lines}) < len(lines):
        raise ValueError("every line must have a key of its own")
    base = sum((Fraction(line.parts) for line in lines if line.kind == "base"), Fraction(0))
    if base == 0:
        raise ValueError("lines must hold at least one base line, got none")
    return base, sum((Fraction(line.parts) for line in lines), Fraction(0))


def _whole(lines: Sequence[RecipeLine], *, total_dry_g: Decimal | None, base_g: Decimal | None) -> Fraction:
    """The exact dry total in grams."""
    base, total = _sums(lines)
    given = total_dry_g if base_g is None else base_g
    if given is None or (total_dry_g is not None and base_g is not None):
        raise ValueError("one of total_dry_g and base_g is wanted")
    if not (given.is_finite() and given > 0):
        raise ValueError(f"the dry mass must be above 0 g, got {given}")
    return Fraction(given) if base_g is None else Fraction(given) * total / base


def _decimal(value: Fraction) -> Decimal:
    return round_to_step(amount=value, step=PLACES)
