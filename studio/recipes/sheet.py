"""A version laid out to be read: every line in percent of the base, totals in words, density."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from studio import words
from studio.materials.models import Material
from studio.recipes.calc.proportions import HUNDRED, percent_of_base
from studio.recipes.models import Line, Version
from studio.recipes.operations.lines import TypedLine, density_of, typed_lines

UNITS = {"percent": "%", "parts": "parts", "grams": "g"}
LEAST_LIKELY, MOST_LIKELY = Decimal(95), Decimal(105)  # outside, a line may be missing; common practice


def amount(value: Decimal, typed_as: str) -> str:
    """``22 %``, ``3.5 parts``, ``1 113.5 g``: up to four places, its unit never parted from it."""
    unit = "part" if typed_as == "parts" and value == 1 else UNITS[typed_as]
    return f"{words.number(value, 4, least=0)}{words.GAP}{unit}"


def percent(value: Decimal) -> str:
    """Two places, four where the amount is small: 33.33 %, 0.0125 %."""
    return words.percent(value, 2 if value >= Decimal("0.1") else 4)


@dataclass(frozen=True, kw_only=True)
class SheetLine:
    """One line to be read. ``pct`` is its share of the base, also for what comes on top."""

    typed: TypedLine
    amount: str
    pct: Decimal

    @property
    def material(self) -> Material:
        return self.typed.material

    @property
    def pct_words(self) -> str:
        return percent(self.pct)

    @property
    def other_name(self) -> str:
        """The name that was typed, where it is not the material's own."""
        same = self.typed.typed_name.casefold() == self.material.name.casefold()
        return "" if same else self.typed.typed_name

    @property
    def share_l(self) -> Decimal:
        """Parts over particle density: the volume this line takes in the mean."""
        return self.typed.parts / self.material.density


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """Lines, at least one of them base, as percent, parts or grams."""

    lines: Sequence[TypedLine]
    typed_as: str
    stated: Mapping[str, Decimal] = field(default_factory=dict)

    @cached_property
    def base_total(self) -> Decimal:
        return sum((line.parts for line in self.lines if line.kind == Line.Kind.BASE), Decimal(0))

    @cached_property
    def top_total(self) -> Decimal:
        return sum((line.parts for line in self.lines if line.kind != Line.Kind.BASE), Decimal(0))

    @property
    def total(self) -> Decimal:
        return self.base_total + self.top_total

    @property
    def base(self) -> list[SheetLine]:
        return [self._line(line) for line in self.lines if line.kind == Line.Kind.BASE]

    @property
    def on_top(self) -> list[SheetLine]:
        return [self._line(line) for line in self.lines if line.kind != Line.Kind.BASE]

    @property
    def all(self) -> list[SheetLine]:
        return [*self.base, *self.on_top]

    @property
    def base_words(self) -> str:
        return amount(self.base_total, self.typed_as)

    @property
    def total_words(self) -> str:
        return amount(self.total, self.typed_as)

    @property
    def total_pct_words(self) -> str:
        return percent(percent_of_base(parts=self.total, base_total=self.base_total))

    @property
    def plain_percent(self) -> bool:
        """Whether amounts as written are percent of the base already."""
        return self.typed_as == Version.TypedAs.PERCENT and self.base_total == HUNDRED

    @property
    def total_sentence(self) -> str:
        """What the base adds up to, and what becomes of it."""
        if self.plain_percent:
            return "The base adds up to 100 %."
        return f"The base adds up to {self.base_words}; kept as written, percent of it shown beside."

    @property
    def density(self) -> Decimal:
        """Mean particle density by today's materials, g/mL."""
        return density_of(self.lines)

    @property
    def share_total(self) -> Decimal:
        return sum((line.share_l for line in self.all), Decimal(0))

    @property
    def soluble(self) -> list[str]:
        return list(dict.fromkeys(line.material.name for line in self.lines if line.material.soluble))

    @property
    def notes(self) -> list[str]:
        """What is worth a second look before this is kept."""
        return [*self._unlikely_total(), *self._stated(), *self._twice(), *self._ended()]

    def _line(self, line: TypedLine) -> SheetLine:
        return SheetLine(
            typed=line,
            amount=amount(line.parts, self.typed_as),
            pct=percent_of_base(parts=line.parts, base_total=self.base_total),
        )

    def _unlikely_total(self) -> list[str]:
        if self.typed_as != Version.TypedAs.PERCENT or LEAST_LIKELY <= self.base_total <= MOST_LIKELY:
            return []
        if 95 <= self.base_total * 100 <= 105:
            return [
                f"The base adds up to {self.base_words}: are these fractions of 1? They are kept as parts."
            ]
        return [
            f"The base adds up to {self.base_words}. "
            "Is a line missing, or does a colourant stand in the base?"
        ]

    def _stated(self) -> list[str]:
        sums = {Line.Kind.BASE.value: self.base_total, Line.Kind.ADDITION.value: self.top_total}
        where = {Line.Kind.BASE.value: "in the base", Line.Kind.ADDITION.value: "on top"}
        return [
            f"The notebook gives {words.number(said, 4, least=0)} as the total; the lines {where[kind]} "
            f"add up to {words.number(sums[kind], 4, least=0)}."
            for kind, said in self.stated.items()
            if said not in (sums[kind], self.total)
        ]

    def _twice(self) -> list[str]:
        counted = Counter(line.material.name for line in self.lines)
        return [
            f"{name} stands here {'twice' if count == 2 else f'{count} times'}. The lines are kept apart; "
            "type them as one if they are the same."
            for name, count in counted.items()
            if count > 1
        ]

    def _ended(self) -> list[str]:
        ended = {line.material.name for line in self.lines if line.material.state == Material.State.ENDED}
        return [f"{name} is discontinued: no more of it is bought." for name in sorted(ended)]


def sheet_of(version: Version, lines: Iterable[Line]) -> Sheet:
    """The sheet of a version whose lines (with their materials) are read already."""
    return Sheet(lines=typed_lines(lines), typed_as=version.typed_as)
