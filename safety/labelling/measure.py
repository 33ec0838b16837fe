"""How wide words are in the label's own typeface, so that what fits is known before it is printed.

The widths are those of the font files in the static folder (``safety/data/label_font.json``, thousandths
of the type size, at the two weights that labels use). Kerning is left out: it only brings letters closer.
"""

import json
from functools import cache
from pathlib import Path

FONT = Path(__file__).parents[1] / "data" / "label_font.json"
X_HEIGHT = 0.496  # of the type size; OS/2 table of the font
WIDEST = 1100  # a letter of another script, set in the second family: at most about as wide as it is high
SLACK = 1.03  # rounding of the printed text; measured differences stay under one per cent


@cache
def _advances(bold: bool) -> dict[str, int]:
    by_width = json.loads(FONT.read_text())["700" if bold else "400"]
    return {letter: int(width) for width, letters in by_width.items() for letter in letters}


def width_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Width of a line of text of that type size, mm; rather a little too wide."""
    advances = _advances(bold)
    return SLACK * size_mm * sum(advances.get(letter, WIDEST) for letter in text) / 1000


def lines(text: str, size_mm: float, within_mm: float, *, bold: bool = False) -> int:
    """How many lines ``text`` takes when it breaks at blanks; a word wider than a line is broken.

    Both in mm. Line by line as a browser breaks it: each takes as many words as it holds.
    """
    space = width_mm(" ", size_mm, bold=bold)
    count, at = 1, 0.0
    for word in text.split():
        wide = width_mm(word, size_mm, bold=bold)
        if at and at + space + wide > within_mm:
            count, at = count + 1, 0.0
        while wide > within_mm:
            count, wide = count + 1, wide - within_mm
        at = at + space + wide if at else wide
    return count
