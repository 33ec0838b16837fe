"""Specific gravity and flow together: what the bucket needs. A table as data, with its mark.

Correct the SG first, then the flow, and measure again after each step. Every cell and every dose is
common practice, no source, unless it says otherwise.
"""

from dataclasses import dataclass
from datetime import timedelta
from typing import Literal

from studio.calc.arguments import positive

Side = Literal["low", "ok", "high"]
Pace = Literal["fast", "ok", "slow"]

MARK = "common practice, no source"
FLOW_WITHIN = 0.10  # of the reference's seconds; common practice, no source
SAME_STATE = timedelta(hours=24)  # a flow timed this long before the SG still belongs to it


@dataclass(frozen=True)
class Cell:
    """What to do in one corner of the table; ``first`` is "sg", "flow" or "use"."""

    first: Literal["sg", "flow", "use"]
    sentence: str
    water: bool = False  # whether water may go in


CELLS: dict[tuple[Side, Pace], Cell] = {
    ("low", "fast"): Cell(
        "sg", "Too much water: stir powder in, take clear water off, or leave it open to dry."
    ),
    ("low", "ok"): Cell(
        "sg",
        "Thin, yet it flows as it should: held together by too much flocculant. Thicken it first; it will "
        "flow slowly then, and a trace of deflocculant helps.",
    ),
    ("low", "slow"): Cell(
        "sg",
        "Thin and slow: held together strongly by flocculant. Thicken it first, no water; then a trace of "
        "deflocculant.",
    ),
    ("ok", "fast"): Cell(
        "flow", "Dispersed: flocculant in small steps. It helps against hard settling, too."
    ),
    ("ok", "ok"): Cell("use", "Both are as they should be: use it."),
    ("ok", "slow"): Cell(
        "flow",
        "Too much flocculant, or gelled: stir, sieve, let it come to the warmth of the room. Then a trace "
        "of deflocculant. No water.",
    ),
    ("high", "fast"): Cell(
        "sg", "Dispersed and heavy: water to the target first, then flocculant.", water=True
    ),
    ("high", "ok"): Cell("sg", "Water to the target, then time it again: it may turn out fast.", water=True),
    ("high", "slow"): Cell(
        "sg", "Water to the target, then time it again: that is usually enough.", water=True
    ),
}


@dataclass(frozen=True)
class Additive:
    """Something that may go into a bucket by dry glaze: usual dose in percent, what it is, its caution.

    ``low_pct`` and ``high_pct`` None: no usual dose, its data sheet or the maker says. ``density`` g/mL
    of what does not dissolve, None when it dissolves. ``hydrate_factor`` turns a dose stated without
    crystal water into what stands in the jar.
    """

    name: str
    does: str
    low_pct: float | None = None
    high_pct: float | None = None
    density: float | None = None
    hydrate_factor: float = 1.0
    caution: str = ""
    mark: str = MARK


GUM_CAUTION = (
    "Gum feeds mould: a bucket with gum spoils within weeks unless it is preserved. It slows drying, thins "
    "the coat and settles. What the data sheet says comes first."
)
BIOCIDE_CAUTION = (
    "Gloves and eye protection. Many biocides make the skin allergic for good. The dose is what the data "
    "sheet says for this product, and nothing else; ventilate, and tell the room."
)

ADDITIVES: dict[str, Additive] = {
    item.name: item
    for item in (
        Additive(
            "magnesium sulfate", "flocculant: slower flow, softer settling", 0.05, 0.3, hydrate_factor=2.04772
        ),
        Additive(
            "calcium chloride",
            "flocculant: slower flow, softer settling",
            0.02,
            0.2,
            caution="It warms as it dissolves and irritates eyes: salt into water, goggles on.",
        ),
        Additive(
            "sodium silicate",
            "deflocculant: faster flow",
            0.05,
            0.3,
            caution="Alkaline: gloves and goggles. What the data sheet says comes first.",
        ),
        Additive("sodium polyacrylate", "deflocculant: faster flow", 0.05, 0.3),
        Additive(
            "gum",
            "binder: tougher dry coat, slower drying",
            0.5,
            1.5,
            caution=GUM_CAUTION,
            mark="a supplier's page says 0.5 to 2 %; read as an excerpt",
        ),
        Additive(
            "bentonite",
            "suspender: keeps powder from settling hard",
            1.0,
            2.0,
            density=2.35,
            caution="Dust holds quartz: wet it in warm water first, mask on, and let it swell overnight.",
        ),
        Additive("biocide", "against smell and mould", caution=BIOCIDE_CAUTION),
        Additive("other", "something else: say what", caution="Read its data sheet first."),
    )
}


def pace_of(*, seconds: float, reference_s: float, within: float = FLOW_WITHIN) -> Pace:
    """How the flow stands against the bucket's own reference: same cup, same wait, both above 0 s.

    Fewer seconds by more than ``within`` (a share) is fast, more is slow.
    """
    positive(seconds=seconds, reference_s=reference_s, within=within)
    if seconds < reference_s * (1 - within):
        return "fast"
    return "slow" if seconds > reference_s * (1 + within) else "ok"


def cell_of(*, side: Side, pace: Pace) -> Cell:
    """The sentence for a bucket whose SG is low, ok or high and whose flow is fast, ok or slow."""
    return CELLS[side, pace]
