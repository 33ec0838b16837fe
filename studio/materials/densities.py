"""Particle densities of common materials, from a reference table that says where each came from."""

import csv
import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path

TABLE = Path(__file__).parent / "data" / "particle_density.csv"
ASSUMED = Decimal("2.6")  # between the feldspars and the clays; common practice, no source
ASSUMED_SOURCE = "assumed: not in the reference table, measure yours"
MARKS = {"opened": "source read", "computed": "computed", "from memory": "from memory"}
FILLERS = frozenset({"and", "or", "the", "of", "type", "powder"})


@dataclass(frozen=True)
class Density:
    """A density in g/mL with its source, how far that was checked, and what to mind."""

    name: str
    density: Decimal
    low: Decimal | None
    high: Decimal | None
    source: str
    mark: str
    note: str

    @property
    def said(self) -> str:
        """The source in at most 200 letters, the mark always in it."""
        tail = f" [{self.mark}]"
        text = "; ".join(part for part in (f"{self.name}: {self.source}", self.note) if part)
        room = 200 - len(tail)
        return (text if len(text) <= room else text[: room - 1] + "…") + tail


def density_of(name: str) -> Density | None:
    """The row of the reference table that a material's name means, or None.

    A row is meant when the typed words are those of its name in any order ("Red iron oxide"), of one
    of its names ("Kaolin" of "Kaolin / china clay"), its name with words from its brackets ("Rutile,
    milled"), or what the brackets say alone ("Flint"). Of several the first in the table. A frit is
    known by its class alone: the class that shares most words with it.
    """
    return row_of(name) or _class_of_frit(_words(name))


def row_of(name: str) -> Density | None:
    """The row that means this very material: two names with one row are one thing. Never a class."""
    typed = _words(name)
    if not typed:
        return None
    for level in (_is_head, _adds_brackets, _is_bracket):
        for row in _table():
            if level(typed, row.name):
                return row
    return None


def _words(text: str) -> frozenset[str]:
    return frozenset(re.findall(r"[a-z0-9]+", text.lower())) - FILLERS


def _heads(name: str) -> list[frozenset[str]]:
    return [_words(part) for part in name.partition("(")[0].split("/")] + [_words(name)]


def _is_head(typed: frozenset[str], name: str) -> bool:
    return typed in _heads(name)


def _adds_brackets(typed: frozenset[str], name: str) -> bool:
    return any(head <= typed <= _words(name) for head in _heads(name) if head)


def _is_bracket(typed: frozenset[str], name: str) -> bool:
    return typed in [_words(part) for part in name.partition("(")[2].split("/")]


def _class_of_frit(typed: frozenset[str]) -> Density | None:
    if "frit" not in typed:
        return None
    classes = [row for row in _table() if "frit" in _words(row.name)]
    return max(classes, key=lambda row: len(typed & _words(row.name)), default=None)


@cache
def _table() -> tuple[Density, ...]:
    with TABLE.open(newline="", encoding="utf-8") as file:
        return tuple(_row(line) for line in csv.DictReader(file))


def _row(line: dict[str, str]) -> Density:
    return Density(
        name=line["material"],
        density=Decimal(line["density_g_cm3"]),
        low=Decimal(line["low"]) if line["low"] else None,
        high=Decimal(line["high"]) if line["high"] else None,
        source=line["source"],
        mark=MARKS.get(line["source_status"], line["source_status"]),
        note=line["note"],
    )
