"""Where faces lie on a part-used sheet or a roll: all in mm, from the upper left corner of the paper."""

from collections.abc import Sequence
from dataclasses import dataclass

PAPER_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
MOST_ON_A_SHEET = 400


@dataclass(frozen=True, kw_only=True)
class Grid:
    """A kind of label sheet: the label, how many across and down, the first corner, the gaps."""

    paper: str
    width_mm: float
    height_mm: float
    columns: int = 1
    rows: int = 1
    left_mm: float = 0
    top_mm: float = 0
    gap_x_mm: float = 0
    gap_y_mm: float = 0

    @property
    def paper_mm(self) -> tuple[float, float]:
        """Width and height of the paper; of a roll, those of one label."""
        return PAPER_MM.get(self.paper, (self.width_mm, self.height_mm))

    @property
    def places(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    def corner_mm(self, place: int) -> tuple[float, float]:
        """Upper left corner of a place, 0 is the first; across, then down."""
        row, column = divmod(place, self.columns)
        return (
            round(self.left_mm + column * (self.width_mm + self.gap_x_mm), 3),
            round(self.top_mm + row * (self.height_mm + self.gap_y_mm), 3),
        )

    @property
    def problem(self) -> str:
        """Why it does not fit on its paper, or empty."""
        wide = self.left_mm + self.columns * self.width_mm + (self.columns - 1) * self.gap_x_mm
        high = self.top_mm + self.rows * self.height_mm + (self.rows - 1) * self.gap_y_mm
        across, down = self.paper_mm
        if self.paper not in PAPER_MM and (self.places > 1 or self.left_mm or self.top_mm):
            return "A roll has one label after the other: one across, one down, no margins."
        if wide > across + 0.05:
            return f"Across, this needs {wide:g} mm; the paper is {across:g} mm wide."
        if high > down + 0.05:
            return f"Down, this needs {high:g} mm; the paper is {down:g} mm high."
        return ""


def places(count: int, grid: Grid, start: int = 1) -> list[list[int]]:
    """For each sheet the places used on it, for ``count`` faces; the first sheet begins at ``start``."""
    every = range(start - 1, start - 1 + count)
    sheets: list[list[int]] = []
    for number in every:
        if not sheets or number % grid.places == 0:
            sheets.append([])
        sheets[-1].append(number % grid.places)
    return sheets


def grid_of(stock: object) -> Grid:
    """A Grid from the row of a stock."""
    numbers = ("width_mm", "height_mm", "left_mm", "top_mm", "gap_x_mm", "gap_y_mm")
    said = {name: float(getattr(stock, name)) for name in numbers}
    return Grid(paper=stock.paper, columns=stock.columns, rows=stock.rows, **said)  # type: ignore[attr-defined]


def ruler(length_mm: float) -> Sequence[tuple[int, float]]:
    """Marks of a ruler: millimetre and length of its mark; every fifth and tenth is longer."""
    return [(mm, 5.0 if mm % 10 == 0 else 3.5 if mm % 5 == 0 else 2.0) for mm in range(int(length_mm) + 1)]
