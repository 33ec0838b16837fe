"""In which order to look for the cause of a fault: a prior, moved by what the records say.

The table is common practice; the score is a proposal of the reference. It is an order to look in, never a
probability.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

Side = Literal["U", "A", "W", "B", "F"]
Known = Literal["true", "false", "unknown"]

TIMES: dict[Known, float] = {"true": 3.0, "false": 1 / 3, "unknown": 1.0}
# Where to look first: what worked last month is spoiled in use, a new glaze was made wrong.
OF_OLD: tuple[Side, ...] = ("U", "A", "W", "B", "F")
OF_NEW: tuple[Side, ...] = ("B", "U", "A", "W", "F")
ENOUGH = 2  # rows with known evidence; below it the order says nothing
SHOWN = 3


@dataclass(frozen=True)
class Cause:
    """One hypothesis: ``prior`` 1 to 5, ``side`` bucket, application, ware, batch or firing."""

    id: str
    name: str
    side: Side
    prior: int
    check: str


SPECKS = (
    Cause(
        "foreign_glaze", "another glaze fell in", "U", 4, "Sieve at 120 and look at what stays on the mesh."
    ),
    Cause("unsieved_colourant", "a colourant not sieved fine enough", "B", 3, "Sieve again at 120 mesh."),
    Cause(
        "bisque_or_kiln_crumbs",
        "crumbs of bisque or of a kiln shelf",
        "W",
        3,
        "Where in the kiln did it stand?",
    ),
    Cause(
        "lot_change", "a lot that differs", "B", 3, "Fire a tile of this lot beside one of the lot before."
    ),
)
COLOUR = (
    Cause("thin_or_thick", "the coat was too thin or too thick", "A", 4, "Measure the coat with a gauge."),
    Cause("atmosphere_or_cone", "atmosphere or cone of the firing", "F", 4, "Look at the log of the kiln."),
    Cause(
        "wrong_bucket_or_label",
        "the wrong bucket, or a wrong label on it",
        "U",
        3,
        "Scan the label, hold a tile beside it.",
    ),
    Cause(
        "colourant_misweigh",
        "a colourant weighed wrong",
        "B",
        3,
        "Weigh the bucket and compare the batch sheet.",
    ),
    Cause(
        "lot_change", "a lot that differs", "B", 3, "Fire a tile of this lot beside one of the lot before."
    ),
    Cause("body_colour", "the clay body shows through", "W", 3, "Is it on one clay body only?"),
)
# By what was reported. For a smell, lumps and the rest the reference has no table.
CAUSES: dict[str, tuple[Cause, ...]] = {
    "specks": SPECKS,
    "wrong colour": COLOUR,
    "lid or label": COLOUR,
}


@dataclass(frozen=True)
class Evidence:
    """What the records say about one cause, and the record it rests on, as a sentence."""

    known: Known
    why: str = ""


@dataclass(frozen=True)
class Ranked:
    """A cause in the order to look in."""

    cause: Cause
    score: float
    evidence: Evidence


@dataclass(frozen=True)
class Order:
    """The causes by score, and whether enough is known for the order to mean anything."""

    ranked: tuple[Ranked, ...]
    enough: bool

    @property
    def first(self) -> tuple[Ranked, ...]:
        return self.ranked[:SHOWN]


def order_to_look(
    *, causes: Sequence[Cause], evidence: Mapping[str, Evidence], new_glaze: bool = False
) -> Order:
    """The causes by ``prior x m``, m = 3, 1/3 or 1 for evidence true, false or unknown.

    Of equal scores the side that is looked at first comes first: bucket, application, ware, batch,
    firing; batch before all for a glaze that is new. ``evidence`` by id of cause; what is missing is
    unknown. Source: the score of the reference (a proposal), table common practice.
    """
    sides = OF_NEW if new_glaze else OF_OLD
    unknown = Evidence("unknown")
    ranked = [
        Ranked(cause, cause.prior * TIMES[found.known], found)
        for cause in causes
        for found in (evidence.get(cause.id, unknown),)
    ]
    ranked.sort(key=lambda row: (-row.score, sides.index(row.cause.side)))
    known = sum(row.evidence.known != "unknown" for row in ranked)
    return Order(tuple(ranked), known >= ENOUGH)
