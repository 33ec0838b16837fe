"""Sizes of a label by what the container holds: CLP Annex I, Table 1.3 [O]; letters: Reg. 2024/2865 [O]."""

from dataclasses import dataclass


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
