"""Sizes of a label by what the container holds: CLP Annex I, Table 1.3 [O]; letters: Reg. 2024/2865 [O].

How little a very small container may bear in the US: 29 CFR 1910.1200(f)(12) [O]. The EU has no such rule
here: that Art. 29 lets packages up to 125 mL drop some words is from memory [M], so they drop none.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal


@dataclass(frozen=True, kw_only=True)
class LabelSize:
    """Millimetres. ``pictogram_mm``: side of the square standing on its point; ``pictogram_min_mm`` where
    the table says "if possible". ``x_height_mm_2024_2865``: least height of a small x from 2028 on."""

    label_mm: tuple[int, int]
    label_if_possible: bool
    pictogram_mm: int
    pictogram_min_mm: int
    x_height_mm_2024_2865: float


_SIZES = (
    (0.5, LabelSize(label_mm=(52, 74), label_if_possible=True, pictogram_mm=16, pictogram_min_mm=10,
                    x_height_mm_2024_2865=1.2)),
    (3, LabelSize(label_mm=(52, 74), label_if_possible=True, pictogram_mm=16, pictogram_min_mm=10,
                  x_height_mm_2024_2865=1.4)),
    (50, LabelSize(label_mm=(74, 105), label_if_possible=False, pictogram_mm=23, pictogram_min_mm=23,
                   x_height_mm_2024_2865=1.8)),
    (500, LabelSize(label_mm=(105, 148), label_if_possible=False, pictogram_mm=32, pictogram_min_mm=32,
                    x_height_mm_2024_2865=2.0)),
    (float("inf"), LabelSize(label_mm=(148, 210), label_if_possible=False, pictogram_mm=46,
                             pictogram_min_mm=46, x_height_mm_2024_2865=2.0)),
)  # fmt: skip


def label_size(*, capacity_l: float) -> LabelSize:
    """The sizes for a container of that many litres, above 0. ValueError otherwise."""
    if not capacity_l > 0:
        raise ValueError("A container holds more than nothing.")
    return next(size for up_to_l, size in _SIZES if capacity_l <= up_to_l)


Least = Literal["full", "short", "name"]
US_SHORT_UP_TO_L, US_NAME_UP_TO_L = Decimal("0.1"), Decimal("0.003")


def us_least(*, capacity_l: Decimal) -> Least:
    """The least a container of that many litres, above 0, bears in the US; its outer package bears it all.

    "short" up to 100 mL, where no pull-out or fold of the full label works: identifier, pictograms, signal
    word, name and phone, and that the full label is on the outer package. "name" up to 3 mL, where a label
    would be in the way of using it: the identifier alone. ValueError at 0 and below.
    """
    if not capacity_l > 0:
        raise ValueError("A container holds more than nothing.")
    if capacity_l <= US_NAME_UP_TO_L:
        return "name"
    return "short" if capacity_l <= US_SHORT_UP_TO_L else "full"
