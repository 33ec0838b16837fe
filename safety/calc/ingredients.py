"""What a mixture is made of, and one rule applied to it: the two shapes every rule of it works with."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from safety.calc.hazards import Hazards
from safety.calc.limits import H_OF, Rules

D = Decimal
IN_SIGHT = D(10)  # a line not reached is told when its sum comes within a tenth of the limit


@dataclass(frozen=True, kw_only=True)
class Ingredient:
    """One substance of a mixture: mass percent of the whole, and what is said of it.

    ``eu_air_limit``: the EU's limit of it for the air at work, in words with its mark; empty: none is known.
    """

    name: str
    cas: str = ""
    pct: Decimal
    hazards: Hazards
    eu_air_limit: str = ""
    parts: tuple[tuple[str, Decimal], ...] = ()

    def limit_pct(self, rules: Rules) -> Decimal:
        """The share that meets limits of CMR, sensitisation and STOT, in percent.

        Note 1 of a harmonised entry [O that entries carry it, M what it means] counts the metal alone. It is
        EU law: other rules count the whole mass, which is stricter.
        """
        fraction = self.hazards.note1_fraction
        return self.pct * fraction if rules == "CLP" and fraction is not None else self.pct

    def own_limit(self, *beginnings: str) -> Decimal | None:
        """Its lowest specific limit for classes that begin so, in percent; None without one."""
        return min((x.min_pct for x in self.hazards.limits if x.cls.startswith(beginnings)), default=None)

    def has(self, *beginnings: str) -> bool:
        """Whether it has a class that begins so."""
        return any(cls.startswith(beginnings) for cls in self.hazards.classes)


Counted = Sequence[tuple[Ingredient, Decimal]]


@dataclass(frozen=True, kw_only=True)
class Line:
    """One rule applied: what counted, up to which sum, against which limit, and whether it was reached.

    ``rule`` names the table and its mark; ``of``: name, share as it counted, source.
    """

    cls: str
    h_code: str
    rule: str
    limit_pct: Decimal | None
    sum_pct: Decimal
    of: tuple[tuple[str, Decimal, str], ...]
    reached: bool
    note: str = ""


def line(
    cls: str,
    rule: str,
    limit: Decimal | None,
    of: Counted,
    *,
    reached: bool | None = None,
    total: Decimal | None = None,
    h_code: str = "",
    note: str = "",
) -> Line:
    """A line; without ``reached`` its sum decides, without ``total`` the sum is that of what counted."""
    whole = sum((pct for _, pct in of), D(0)) if total is None else total
    return Line(
        cls=cls,
        h_code=h_code or H_OF[cls],
        rule=rule,
        limit_pct=limit,
        sum_pct=whole,
        of=tuple((one.name, pct, one.hazards.source) for one, pct in of),
        reached=(limit is not None and whole >= limit) if reached is None else reached,
        note=note,
    )


def in_sight(lines: Iterable[Line]) -> list[Line]:
    """Lines that are reached, and those whose sum comes within a tenth of their limit."""
    return [
        one
        for one in lines
        if one.reached or (one.limit_pct is not None and one.sum_pct * IN_SIGHT >= one.limit_pct)
    ]


def joined(*notes: str) -> str:
    """Notes that are there, as one."""
    return "; ".join(note for note in notes if note)


def plain(value: Any) -> Any:
    """As JSON: numbers as text, without noughts at their end."""
    if isinstance(value, Decimal):
        return format(value.normalize(), "f") if value else "0"
    if isinstance(value, dict):
        return {name: plain(found) for name, found in value.items()}
    if isinstance(value, list | tuple):
        return [plain(found) for found in value]
    return value
