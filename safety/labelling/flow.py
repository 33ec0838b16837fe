"""What follows the head of a label: paragraphs and data sheets, in order, on as many faces as they need."""

from dataclasses import replace
from math import floor

from safety.labelling.measure import lines
from safety.labelling.pieces import AFTER, LINE, Block, Reference, Words
from safety.labelling.sizes import Printed

SHEET_QR_MM, SHEET_CELL_MM, SHEET_WORDS_MM = 21.0, 28.0, 26.0
Filled = tuple[tuple[Block, ...], tuple[Reference, ...]]


def onward(words: Words, number: int, of: int) -> str:
    """What stands on top of a further face."""
    return f"{words.title} · {words.serial} · {number} of {of}"


def onward_mm(words: Words, size: Printed, inner: float) -> float:
    return size.text_mm * (lines(onward(words, 10, 10), size.text_mm, inner, bold=True) * LINE + 2 * AFTER)


class Rest:
    """What still has to find a place."""

    def __init__(self, words: Words) -> None:
        self.blocks, self.sheets = list(words.blocks), list(words.sheets)

    @property
    def some(self) -> bool:
        return bool(self.blocks or self.sheets)


def fill(rest: Rest, room: float, inner: float, size: Printed) -> Filled:
    """Take from ``rest`` what a face has room for, in order, cutting a paragraph between its pieces."""
    taken: list[Block] = []
    while rest.blocks:
        block = rest.blocks[0]
        fits = next(
            (n for n in range(len(block.pieces), 0, -1) if block_mm(_cut(block, n), size, inner) <= room), 0
        )
        if not fits:
            return tuple(taken), ()
        part = _cut(block, fits)
        taken.append(part)
        room -= block_mm(part, size, inner)
        if fits < len(block.pieces):
            rest.blocks[0] = replace(block, pieces=block.pieces[fits:])
            return tuple(taken), ()
        rest.blocks.pop(0)
    return tuple(taken), _take_sheets(rest, room, inner, size)


def _take_sheets(rest: Rest, room: float, inner: float, size: Printed) -> tuple[Reference, ...]:
    """As many rows of data sheets as there is room for."""
    in_a_row, taken = max(1, floor((inner + 2) / SHEET_CELL_MM)), []
    while rest.sheets and (high := sheet_mm(rest.sheets[:in_a_row], size)) <= room:
        taken += rest.sheets[:in_a_row]
        del rest.sheets[:in_a_row]
        room -= high
    return tuple(taken)


def _cut(block: Block, pieces: int) -> Block:
    return replace(block, pieces=block.pieces[:pieces])


def block_mm(block: Block, size: Printed, inner: float) -> float:
    """Height of a paragraph, mm."""
    return size.text_mm * (lines(block.text, size.text_mm, inner) * LINE + AFTER)


def sheet_mm(row: list[Reference], size: Printed) -> float:
    """Height of a row of data sheets: QR code, below it number and material."""
    said = max(lines(f"{one.number} {one.material}", size.text_mm, SHEET_WORDS_MM, bold=True) for one in row)
    return SHEET_QR_MM + size.text_mm * (said * LINE + AFTER)


# --- no face with hardly anything on it

TOGETHER = {"contains", "h"}  # these stay on the face they have reached, near the pictograms
FEW_LINES = 3


def without_orphan(filled: list[Filled], room: float, inner: float, size: Printed) -> list[Filled]:
    """The same faces, the last one with at least half as many lines as the one before it, where that can be.

    Whole paragraphs move on from the face before, so that none is cut that need not be; ``room``: of a
    further face, mm. Rows of data sheets are enough on a face by themselves.
    """
    if len(filled) < 2 or filled[-1][1] or filled[-2][1]:
        return filled
    before, last = list(filled[-2][0]), list(filled[-1][0])
    while len(before) > 1 and before[-1].kind not in TOGETHER and _lopsided(before, last, size, inner):
        moved = before.pop()
        onto = _joined(moved, last)
        if sum(block_mm(block, size, inner) for block in onto) > room:
            before.append(moved)
            break
        last = onto
    return [*filled[:-2], (tuple(before), ()), (tuple(last), ())]


def _lopsided(before: list[Block], last: list[Block], size: Printed, inner: float) -> bool:
    more, few = (sum(lines(block.text, size.text_mm, inner) for block in face) for face in (before, last))
    return few < FEW_LINES or 2 * few < more


def _joined(moved: Block, last: list[Block]) -> list[Block]:
    """A paragraph before those of a face; one that was cut in two becomes whole again."""
    if last and last[0].kind == moved.kind:
        return [replace(moved, pieces=(*moved.pieces, *last[0].pieces)), *last[1:]]
    return [moved, *last]
