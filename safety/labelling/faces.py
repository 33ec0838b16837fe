"""What goes on which face of a label: words measured and laid out, none smaller, none left out.

The first face bears name, code, pictograms and signal word together; the rest follows in order and goes on
to further faces where there is no room. ``label.css`` draws with the figures below.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from math import ceil, floor

from safety.labelling.measure import lines
from safety.labelling.sizes import OUTLINE, Printed

LINE = 1.25  # line distance over type size; the law wants 1.2 at least
AFTER = 0.35  # distance after a paragraph, over type size
GAP_MM = 1.2  # between pictograms; the law's least is none, 1 mm is common practice
BESIDE_QR_MM = 3.0
SERIAL_EM, CODE_EM, PART_EM = 1.5, 1.2, 1.0
SHEET_QR_MM, SHEET_CELL_MM, SHEET_WORDS_MM = 21.0, 28.0, 26.0
TITLES = ("", "middling", "low")  # how large a name is set: as usual, 1.4 times the text, as the text
HEAD_EM = {"title": 0.0, "lead": 1.15, "state": 1.25, "plain": 1.0, "window": 1.3}  # title: by size
BOLD = {"title", "state", "window"}
STATE_EXTRA = 0.5  # frame and padding of a state, over its type size
SIGNAL_EM = 1.7
STRIP_PAD_MM, STRIP_QR_MM = 2.5, 22.0
STRIP = "Lid: its body bears the same serial, or it is the wrong lid."


class TooSmall(Exception):
    """A label of that size cannot bear what the law wants at the least sizes; ``sentence`` says so."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True)
class Line:
    """One line of the head: its kind (a key of HEAD_EM) and its words."""

    kind: str
    text: str


@dataclass(frozen=True)
class Block:
    """A paragraph: words in bold that begin it, then pieces, each with its code in bold or none."""

    kind: str
    lead: str = ""
    pieces: tuple[tuple[str, str], ...] = ()

    @property
    def text(self) -> str:
        """Everything in it as one line, as it is measured."""
        said = [part for piece in self.pieces for part in piece if part]
        return " ".join([self.lead, *said]).strip()


@dataclass(frozen=True)
class Reference:
    """A data sheet of the binder: number, material, address its QR opens."""

    number: str
    material: str
    address: str


@dataclass(frozen=True, kw_only=True)
class Words:
    """Everything a label says."""

    title: str
    code: str = ""
    serial: str = ""
    head: tuple[Line, ...] = ()
    pictograms: tuple[str, ...] = ()
    signal_word: str = ""
    blocks: tuple[Block, ...] = ()
    sheets: tuple[Reference, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Face:
    """One face: what stands on it, and where. ``beside``: the pictograms stand beside the QR code;
    ``title``: how large the name is, one of TITLES."""

    number: int
    of: int
    words: Words
    blocks: tuple[Block, ...]
    sheets: tuple[Reference, ...] = ()
    side_mm: float = 0
    beside: bool = False
    title: str = ""
    kind: str = "label"

    @property
    def first(self) -> bool:
        """Whether it is the one with name, pictograms and signal word."""
        return self.number == 1


@dataclass(frozen=True, kw_only=True)
class Laid:
    """A label laid out: its faces, and what a person should know about them."""

    size: Printed
    width_mm: float
    height_mm: float
    faces: tuple[Face, ...]
    notes: tuple[str, ...] = field(default=())


def lay_out(words: Words, size: Printed, width_mm: float, height_mm: float) -> Laid:
    """The faces of a label of ``width_mm`` by ``height_mm``. Raises TooSmall."""
    _big_enough(words, size, width_mm, height_mm)
    inner, high = width_mm - 2 * size.pad_mm, height_mm - 2 * size.pad_mm
    front = _front(words, size, inner, high, False)
    rest = _Rest(words)
    filled = [_fill(rest, high - front.high_mm, inner, size)]
    if rest.some:
        front = _front(words, size, inner, high, True)
        rest = _Rest(words)
        filled = [_fill(rest, high - front.high_mm, inner, size)]
        while rest.some:
            filled.append(_fill(rest, high - _onward_mm(words, size, inner), inner, size))
            if not any(filled[-1]):
                raise TooSmall(_too_small(width_mm, height_mm, "its longest line at the least type size"))
    faces = tuple(
        Face(
            number=number,
            of=len(filled),
            words=words,
            blocks=blocks,
            sheets=sheets,
            side_mm=front.side_mm if number == 1 else 0,
            beside=front.beside,
            title=front.title,
        )
        for number, (blocks, sheets) in enumerate(filled, 1)
    )
    notes = _notes(words, size, front.side_mm, len(faces), width_mm, height_mm)
    return Laid(size=size, width_mm=width_mm, height_mm=height_mm, faces=faces, notes=notes)


def _big_enough(words: Words, size: Printed, width_mm: float, height_mm: float) -> None:
    """The law's least label, either way up; where it says "if possible" the words decide."""
    short, long = sorted((width_mm, height_mm))
    small = short < size.least[0] or long < size.least[1]
    if small and size.least_binds and (words.pictograms or words.signal_word):
        least = f"{size.least[0]:g} × {size.least[1]:g} mm"
        raise TooSmall(
            f"This label is {width_mm:g} × {height_mm:g} mm; for such a container it is {least} at least."
        )


def _too_small(width_mm: float, height_mm: float, what: str) -> str:
    return f"A label of {width_mm:g} × {height_mm:g} mm does not hold {what}. Choose a larger one."


def _notes(
    words: Words, size: Printed, side_mm: float, faces: int, width_mm: float, height_mm: float
) -> tuple[str, ...]:
    """What the builder says of it: further labels, smaller pictograms, less than the usual size."""
    said = []
    if faces > 1:
        said.append(f"It does not fit on one label: {faces} of them belong together, each with its serial.")
    if words.pictograms and side_mm < size.sides[0]:
        said.append(f"Pictograms have {side_mm:g} mm sides here; {size.sides[0]:.0f} mm do not fit.")
    short, long = sorted((width_mm, height_mm))
    if short < size.least[0] or long < size.least[1]:
        said.append(f"Smaller than the usual {size.least[0]:g} × {size.least[1]:g} mm.")
    return tuple(said)


# --- the head of the first face


@dataclass(frozen=True, kw_only=True)
class Front:
    """The head of the first face: its height, the side of the pictograms, where they are, the name's size."""

    high_mm: float
    side_mm: float = 0
    beside: bool = False
    title: str = ""


def _front(words: Words, size: Printed, inner: float, high: float, parts: bool) -> Front:
    """The head with the largest name and pictograms that fit; ``parts``: it says there are further labels."""
    outer = inner + 2 * size.pad_mm, high + 2 * size.pad_mm
    if inner - size.qr_mm - BESIDE_QR_MM < size.qr_mm / 2:
        raise TooSmall(_too_small(*outer, "a name beside its code"))
    for side_mm in size.sides if words.pictograms else (0,):
        for title in TITLES:
            for front in _heads(words, size, inner, side_mm, title, parts):
                if front.high_mm <= high and side_mm * OUTLINE <= inner:
                    return front
    raise TooSmall(_too_small(*outer, "name, code and pictograms together"))


def _heads(
    words: Words, size: Printed, inner: float, side_mm: float, title: str, parts: bool
) -> Iterator[Front]:
    """The ways to set a head: pictograms beside the QR code where they fit in one row, or below it."""
    beside_mm, count = inner - size.qr_mm - BESIDE_QR_MM, len(words.pictograms)
    words_mm, code_mm = _head_mm(words, size, beside_mm, title), _code_mm(words, size, parts)
    signal_mm = size.text_mm * SIGNAL_EM * LINE if words.signal_word else 0
    after_mm = size.text_mm * AFTER
    if count and _in_one_row(count, side_mm, beside_mm):
        whole = max(words_mm + row_mm(count, side_mm, beside_mm), code_mm + signal_mm) + after_mm
        yield Front(high_mm=whole, side_mm=side_mm, beside=True, title=title)
    rows_mm = row_mm(count, side_mm, inner) + after_mm if count else 0
    yield Front(high_mm=max(words_mm, code_mm) + rows_mm + signal_mm + after_mm, side_mm=side_mm, title=title)


def title_em(size: Printed, title: str) -> float:
    """Type size of the name over that of the text."""
    return {"": size.title_em, "middling": min(1.4, size.title_em), "low": 1.0}[title]


def _in_one_row(count: int, side_mm: float, within_mm: float) -> bool:
    return count * side_mm * OUTLINE + (count - 1) * GAP_MM <= within_mm


def row_mm(count: int, side_mm: float, within_mm: float) -> float:
    """Height of ``count`` pictograms in as many rows as they need."""
    outline = side_mm * OUTLINE
    in_a_row = max(1, floor((within_mm + GAP_MM) / (outline + GAP_MM)))
    return -(-count // in_a_row) * (outline + GAP_MM)


def _head_mm(words: Words, size: Printed, within_mm: float, title: str) -> float:
    """Height of the lines beside the QR code."""
    high = 0.0
    for line in (Line("title", words.title), *words.head):
        type_mm = size.text_mm * (HEAD_EM[line.kind] or title_em(size, title))
        room = within_mm - type_mm * STATE_EXTRA * 2 if line.kind == "state" else within_mm
        count = lines(line.text, type_mm, room, bold=line.kind in BOLD)
        high += count * type_mm * LINE + size.text_mm * AFTER
        high += type_mm * STATE_EXTRA if line.kind == "state" else 0
    return high


def _code_mm(words: Words, size: Printed, parts: bool) -> float:
    """Height of QR code, serial, the code of what it is on, and how many labels there are."""
    ems = SERIAL_EM + (CODE_EM if words.code else 0) + (PART_EM if parts else 0)
    return size.qr_mm + size.text_mm * ems * LINE


def strip_mm(words: Words, size: Printed, width_mm: float) -> float:
    """Height of the strip for the lid, whole millimetres: QR code or words, whichever is higher."""
    inner, em = width_mm - 2 * STRIP_PAD_MM - STRIP_QR_MM - BESIDE_QR_MM, size.text_mm
    if inner < STRIP_QR_MM:
        raise TooSmall(_too_small(width_mm, size.height_mm, "a lid strip"))
    sized = (
        (words.title, 1.2, True),
        (f"{words.code} · {words.serial}", SERIAL_EM, True),
        (STRIP, 1.0, False),
    )
    high = sum(
        em * (times * LINE * lines(text, em * times, inner, bold=bold) + AFTER * times)
        for text, times, bold in sized
    )
    return float(ceil(max(high, STRIP_QR_MM) + 2 * STRIP_PAD_MM))


# --- what follows it


def onward(words: Words, number: int, of: int) -> str:
    """What stands on top of a further face."""
    return f"{words.title} · {words.serial} · {number} of {of}"


def _onward_mm(words: Words, size: Printed, inner: float) -> float:
    return size.text_mm * (lines(onward(words, 10, 10), size.text_mm, inner, bold=True) * LINE + 2 * AFTER)


class _Rest:
    """What still has to find a place."""

    def __init__(self, words: Words) -> None:
        self.blocks, self.sheets = list(words.blocks), list(words.sheets)

    @property
    def some(self) -> bool:
        return bool(self.blocks or self.sheets)


def _fill(
    rest: _Rest, room: float, inner: float, size: Printed
) -> tuple[tuple[Block, ...], tuple[Reference, ...]]:
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


def _take_sheets(rest: _Rest, room: float, inner: float, size: Printed) -> tuple[Reference, ...]:
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
