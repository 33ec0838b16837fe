"""A leach test held against limits: the category of the piece, every element, what cannot be judged.

Limits are dated data (``safety/data/leach_*.csv``); here is how they are applied. A result below the
detection limit is known only to lie between nothing and that limit, and both ends have to agree.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

Word = Literal["within", "over", "open"]
Judging = Literal["mean", "each", "directive"]
Use = Literal["tableware", "cup", "pitcher", "cooking", "storage"]
ACID = "acetic acid 4 %"
FLAT_MM = Decimal(25)  # exactly 25 mm is flat; 84/500/EEC and CPG 545.400 [O]
LARGE_ML = Decimal(1100)  # exactly 1.1 L is large; CPG 545.400 [O]
STORES_ML = Decimal(3000)  # 84/500/EEC: more than 3 L [O]; ISO 6486-2: from 3 L on [M]
HALF_OVER = Decimal("1.5")  # 84/500/EEC Art. 2(5) [O]
OTHERS = 3  # at least as many others; the same article


@dataclass(frozen=True, kw_only=True)
class ContactLimit:
    """Most that may leach of one element in one category; ``unit`` mg/L or mg/dm²."""

    element: str
    value: Decimal
    unit: str
    judged: Judging
    status: str
    source: str


@dataclass(frozen=True, kw_only=True)
class LimitSet:
    """The limits of one law or standard, by category, with the test they ask for.

    ``hours`` and ``temperature_c``: lowest and highest; ``pieces``: fewest; ``strict``: a result at the limit
    is over it; ``until``: the last day it is in force, or None.
    """

    key: str
    law: str
    title: str
    edition: str
    methods: tuple[str, ...]
    hours: tuple[Decimal, Decimal]
    temperature_c: tuple[Decimal, Decimal]
    pieces: int
    strict: bool
    until: date | None
    status: str
    source: str
    limits: Mapping[str, tuple[ContactLimit, ...]]
    words: Mapping[str, str]

    def covered(self) -> tuple[str, ...]:
        """The elements it has limits for, in the order of its table."""
        return tuple(dict.fromkeys(limit.element for rows in self.limits.values() for limit in rows))


@dataclass(frozen=True, kw_only=True)
class Result:
    """What leached of one element from one piece; ``below``: not found, ``value`` is the detection limit."""

    piece: int
    element: str
    value: Decimal
    unit: str
    below: bool = False


@dataclass(frozen=True, kw_only=True)
class Tested:
    """A leach test as it is on record; ``limits``: the set it names, None where that is not known here.

    ``newer_lots``: lots of flagged materials that came since, in words.
    """

    name: str
    version: int
    clay: str
    firing: str
    layers: str = ""
    method: str
    leachant: str
    hours: Decimal
    temperature_c: Decimal | None
    depth_mm: Decimal
    volume_ml: Decimal
    use: str
    pieces: int
    reported_on: date
    expires_on: date
    results: tuple[Result, ...]
    limits: LimitSet | None = None
    newer_lots: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class ElementLine:
    """One element beside its limit. ``limit`` None: the set has none for it; ``why``: not judged because."""

    element: str
    shown: str
    limit: ContactLimit | None
    word: Word
    why: str = ""


@dataclass(frozen=True, kw_only=True)
class Judged:
    """A test by one set of limits. ``reasons``: what keeps it from being counted as within."""

    limits: LimitSet
    category: str
    word: Word
    lines: tuple[ElementLine, ...]
    reasons: tuple[str, ...]

    @property
    def category_words(self) -> str:
        """The category with what it is: "category 2: all other articles that can be filled"."""
        name = f"category {self.category}" if self.category.isdigit() else self.category
        return f"{name}: {self.limits.words[self.category]}"


def category_of(law: str, *, depth_mm: Decimal, volume_ml: Decimal, use: str) -> str:
    """The category of a piece by its inner depth (mm), what it holds to the brim (mL) and its use.

    ``law``: EU (84/500/EEC [O]), US (the FDA's guides [O]), UN (ISO 6486-2 [M]). What the use makes
    stricter goes before depth and size.
    """
    flat, large = depth_mm <= FLAT_MM, volume_ml >= LARGE_ML
    if law == "EU":
        if use == "cooking" or (use == "storage" and volume_ml > STORES_ML):
            return "3"
        return "1" if flat else "2"
    if law == "US":
        return _by_size(use, flat, large)
    if use in ("cooking", "cup"):
        return "cooking ware" if use == "cooking" else "cups and mugs"
    if use == "storage" and volume_ml >= STORES_ML:
        return "storage"
    return "flatware" if flat else "large hollowware" if large else "small hollowware"


def _by_size(use: str, flat: bool, large: bool) -> str:
    if use in ("cup", "pitcher"):
        name = "cups and mugs" if use == "cup" else "pitchers"
        return f"large {name}" if large else name
    return "flatware" if flat else "large hollowware" if large else "small hollowware"


def judged(test: Tested, limits: LimitSet, *, today: date) -> Judged:
    """A test by a set of limits. Over is over however it was tested; within needs everything they ask for."""
    category = category_of(limits.law, depth_mm=test.depth_mm, volume_ml=test.volume_ml, use=test.use)
    reasons = tuple(_reasons(test, limits, today))
    rows = {limit.element: limit for limit in limits.limits[category]}
    others = [r.element for r in test.results if r.element not in rows]
    lines = [_line(test, element, limit, limits.strict) for element, limit in rows.items()]
    lines += [_line(test, element, None, limits.strict) for element in dict.fromkeys(others)]
    found = [line.word for line in lines if line.limit]
    word: Word = "open"
    if "over" in found:
        word = "over"
    elif not reasons and all(one == "within" for one in found):
        word = "within"
    return Judged(limits=limits, category=category, word=word, lines=tuple(lines), reasons=reasons)


def _reasons(test: Tested, limits: LimitSet, today: date) -> list[str]:
    said = []
    if limits.until is not None and today > limits.until:
        said.append(f"{limits.title} was in force until {limits.until:%Y-%m-%d}.")
    if test.method not in limits.methods:
        said.append(f"{limits.title} asks for {' or '.join(limits.methods)}.")
    if test.leachant != ACID:
        said.append(f"It asks for {ACID}.")
    if not limits.hours[0] <= test.hours <= limits.hours[1]:
        said.append(f"It asks for {_plain(limits.hours[0])} to {_plain(limits.hours[1])} h.")
    low, high = limits.temperature_c
    if test.temperature_c is not None and not low <= test.temperature_c <= high:
        said.append(f"It asks for {_plain(low)} to {_plain(high)} °C.")
    if test.pieces < limits.pieces:
        said.append(f"It asks for {limits.pieces} pieces.")
    return said


def _line(test: Tested, element: str, limit: ContactLimit | None, strict: bool) -> ElementLine:
    rows = [row for row in test.results if row.element == element]
    shown = shown_result(rows)
    if limit is None:
        return ElementLine(
            element=element, shown=shown, limit=None, word="open", why="no limit, not assessed"
        )
    word, why = _word(test, rows, limit, strict)
    return ElementLine(element=element, shown=shown, limit=limit, word=word, why=why)


def _word(test: Tested, rows: Sequence[Result], limit: ContactLimit, strict: bool) -> tuple[Word, str]:
    if not rows:
        return "open", "no result"
    if any(row.unit != limit.unit for row in rows):
        return "open", f"the limit is in {limit.unit}"
    lows = [Decimal(0) if row.below else row.value for row in rows]
    if not passes(lows, limit.value, limit.judged, strict=strict):
        return "over", ""
    if len({row.piece for row in rows}) < test.pieces:
        return "open", f"results of {len(rows)} of {test.pieces} pieces"
    if not passes([row.value for row in rows], limit.value, limit.judged, strict=strict):
        return "open", "the detection limit is too high to tell"
    return "within", ""


def passes(values: Sequence[Decimal], limit: Decimal, judged: Judging, *, strict: bool = False) -> bool:
    """Whether what leached from the pieces keeps to a limit of the same unit.

    ``mean``: the mean of all; ``each``: every piece; ``directive``: every piece, or one up to 50 % over while
    at least three others keep to it on average and none is more than 50 % over (84/500/EEC Art. 2(5)).
    ``strict``: a value at the limit is over.
    """
    if judged == "mean":
        return _keeps(sum(values, Decimal(0)), limit * len(values), strict)
    over = [n for n, value in enumerate(values) if not _keeps(value, limit, strict)]
    if not over or judged == "each":
        return not over
    return all(_forgiven(values[n], [*values[:n], *values[n + 1 :]], limit) for n in over)


def _forgiven(value: Decimal, others: Sequence[Decimal], limit: Decimal) -> bool:
    most = limit * HALF_OVER
    return (
        len(others) >= OTHERS
        and max([value, *others]) <= most
        and sum(others, Decimal(0)) <= limit * len(others)
    )


def _keeps(value: Decimal, limit: Decimal, strict: bool) -> bool:
    return value < limit if strict else value <= limit


def shown_result(rows: Sequence[Result]) -> str:
    """The highest result in words: "up to 0.12 mg/L", "< 0.05 mg/L" where none was found, "no result"."""
    if not rows:
        return "no result"
    found = [row for row in rows if not row.below]
    worst = max(found or rows, key=lambda row: row.value)
    return f"{'up to' if found else '<'} {_plain(worst.value)} {worst.unit}"


def _plain(number: Decimal) -> str:
    return format(number.normalize(), "f") if number else "0"
