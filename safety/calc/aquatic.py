"""Hazards to water by summation: CLP 4.1.3.5.5, Tables 4.1.1 and 4.1.2 [O]. Not part of the US rules."""

from collections.abc import Sequence
from decimal import Decimal

from safety.calc.hazards import Hazards

D = Decimal
LIMIT_PCT = D(25)
Row = tuple[str, Decimal, Hazards]
Counted = tuple[tuple[str, Decimal], ...]


def who(ingredients: Sequence[Row]) -> list[tuple[str, str, Counted]]:
    """Class, name of its sum, and who counts in it with what weighted share; the first chronic one met wins.

    Acute 1 and Chronic 1 count from 0.1 % divided by their M-factor on, the others from 1 % (Table 1.1).
    """
    acute1 = _times_m(ingredients, "Aquatic Acute 1", "m_acute")
    chronic1 = _times_m(ingredients, "Aquatic Chronic 1", "m_chronic")
    chronic2, chronic3, chronic4 = (_plain(ingredients, f"Aquatic Chronic {n}") for n in (2, 3, 4))
    bare = [(name, pct) for name, pct, hazards in ingredients if _counts_as_1(name, pct, hazards)]
    return [
        ("Aquatic Acute 1", "acute1", tuple(acute1)),
        ("Aquatic Chronic 1", "chronic1", tuple(chronic1)),
        ("Aquatic Chronic 2", "chronic2", (*_times(10, chronic1), *chronic2)),
        ("Aquatic Chronic 3", "chronic3", (*_times(100, chronic1), *_times(10, chronic2), *chronic3)),
        ("Aquatic Chronic 4", "chronic4", (*bare, *chronic2, *chronic3, *chronic4)),
    ]


def sums(*, ingredients: Sequence[Row]) -> dict[str, Decimal]:
    """The five sums in percent, M-factors and weights in them; each is held against 25 %."""
    return {name: sum((pct for _, pct in of), D(0)) for _, name, of in who(ingredients)}


def _m(hazards: Hazards, which: str) -> int:
    return getattr(hazards, which) or 1  # not given: 1


def _times_m(ingredients: Sequence[Row], cls: str, which: str) -> list[tuple[str, Decimal]]:
    return [
        (name, pct * _m(hazards, which))
        for name, pct, hazards in ingredients
        if cls in hazards.classes and pct * _m(hazards, which) >= D("0.1")
    ]


def _counts_as_1(name: str, pct: Decimal, hazards: Hazards) -> bool:
    return "Aquatic Chronic 1" in hazards.classes and pct * _m(hazards, "m_chronic") >= D("0.1")


def _plain(ingredients: Sequence[Row], cls: str) -> list[tuple[str, Decimal]]:
    return [(name, pct) for name, pct, hazards in ingredients if cls in hazards.classes and pct >= 1]


def _times(weight: int, rows: Sequence[tuple[str, Decimal]]) -> list[tuple[str, Decimal]]:
    return [(name, weight * pct) for name, pct in rows]
