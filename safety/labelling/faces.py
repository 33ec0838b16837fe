"""What goes on which face of a label: words measured and laid out, none smaller, none left out.

The first face bears name, code, pictograms and signal word together; the rest follows in order and goes on
to further faces where there is no room. ``label.css`` draws with the figures below.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor

from safety.labelling.flow import Filled, Rest, fill, onward_mm, without_orphan
from safety.labelling.measure import lines
from safety.labelling.pieces import AFTER, HEAD_EM, LINE, Face, Laid, Line, TooSmall, Words
from safety.labelling.sizes import OUTLINE, Printed

GAP_MM = 1.2  # between pictograms; the law's least is none, 1 mm is common practice
BESIDE_QR_MM = 3.0
SERIAL_EM, CODE_EM, PART_EM = 1.5, 1.2, 1.0
TITLES = ("", "middling", "low")  # how large a name is set: as usual, 1.4 times the text, as the text
BOLD = {"title", "state", "window"}
STATE_EXTRA = 0.5  # frame and padding of a state, over its type size
SIGNAL_EM = 1.7
STRIP_PAD_MM, STRIP_QR_MM = 2.5, 22.0
STRIP = "Lid: its body bears the same serial, or it is the wrong lid."


def lay_out(words: Words, size: Printed, width_mm: float, height_mm: float) -> Laid:
    """The faces of a label of ``width_mm`` by ``height_mm``. Raises TooSmall."""
    _big_enough(words, size, width_mm, height_mm)
    inner, high = width_mm - 2 * size.pad_mm, height_mm - 2 * size.pad_mm
    front = _front(words, size, inner, high, False)
    rest = Rest(words)
    filled = [fill(rest, high - front.high_mm, inner, size)]
    if rest.some:
        front = _front(words, size, inner, high, True)
        filled = _onto_several(words, size, inner, high - front.high_mm, high)
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


def _onto_several(words: Words, size: Printed, inner: float, first: float, high: float) -> list[Filled]:
    """Paragraphs and sheets of each face; ``first``: the room on the first one, mm."""
    rest, room = Rest(words), high - onward_mm(words, size, inner)
    filled = [fill(rest, first, inner, size)]
    while rest.some:
        filled.append(fill(rest, room, inner, size))
        if not any(filled[-1]):
            outer = inner + 2 * size.pad_mm, high + 2 * size.pad_mm
            raise TooSmall(_too_small(*outer, "its longest line at the least type size"))
    return without_orphan(filled, room, inner, size)


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
