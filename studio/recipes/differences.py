"""Two versions side by side: every line and every target, and the difference in words."""

from dataclasses import dataclass
from decimal import Decimal

from studio import words
from studio.recipes.models import Line, Version
from studio.recipes.sheet import Sheet, SheetLine, percent

SAME = "the same"


@dataclass(frozen=True)
class Difference:
    """One row of the comparison. A side that has nothing here is "–"."""

    what: str
    left: str
    right: str
    words: str

    @property
    def same(self) -> bool:
        return self.words == SAME


def lines_compared(left: Sheet, right: Sheet, left_name: str, right_name: str) -> list[Difference]:
    """Lines in percent of the base, so that the same glaze typed in other amounts reads the same."""
    ours, theirs = _keyed(left), _keyed(right)
    rows = []
    for key in dict.fromkeys([*ours, *theirs]):
        one, other = ours.get(key), theirs.get(key)
        told = _line_words(one, other, left_name, right_name)
        rows.append(Difference(_what(one or other, key), _shown(one), _shown(other), told))
    return rows


def targets_compared(left: Version, right: Version) -> list[Difference]:
    """Gravity, window, sieve and density: numbers that a batch is made to."""
    return [
        _target("specific gravity", left.target_sg, right.target_sg, 4),
        _target("window, plus or minus", left.half_window, right.half_window, 4),
        _target("sieve", left.sieve_mesh, right.sieve_mesh, 0, "mesh"),
        _target("particle density", left.particle_density, right.particle_density, 3, "g/mL"),
    ]


Key = tuple[str, int, int]


def _keyed(sheet: Sheet) -> dict[Key, SheetLine]:
    """Lines by kind, material and how many times it stood there before."""
    keyed: dict[Key, SheetLine] = {}
    for line in sheet.all:
        nth = sum(key[:2] == (line.typed.kind, line.material.pk) for key in keyed)
        keyed[line.typed.kind, line.material.pk, nth] = line
    return dict(sorted(keyed.items(), key=lambda pair: pair[0][0] != Line.Kind.BASE))


def _what(line: SheetLine | None, key: Key) -> str:
    name = line.material.name if line else words.NONE
    return f"{name}, on top" if key[0] != Line.Kind.BASE else name


def _shown(line: SheetLine | None) -> str:
    return percent(line.pct) if line else words.NONE


def _line_words(one: SheetLine | None, other: SheetLine | None, left_name: str, right_name: str) -> str:
    if one is None or other is None:
        return f"only in {right_name if one is None else left_name}"
    change = other.pct - one.pct
    if not change:
        return SAME
    return f"{'more' if change > 0 else 'less'} in {right_name}, by {percent(abs(change))} of the base"


def _target(
    what: str, left: Decimal | int | None, right: Decimal | int | None, places: int, unit: str = ""
) -> Difference:
    def shown(value: Decimal | int | None) -> str:
        if value is None:
            return words.NONE
        text = words.number(value, places, least=min(places, 2))
        return f"{text}{words.GAP}{unit}" if unit else text

    told = (
        SAME if left == right else f"{shown(right)} instead of {shown(left)}".replace(words.NONE, "none")
    )  # a dash reads badly inside words
    return Difference(what, shown(left), shown(right), told)
