"""What a label is made of: lines, paragraphs, references, and the faces they are laid on."""

from dataclasses import dataclass, field

from safety.labelling.sizes import Printed

LINE = 1.25  # line distance over type size; the law wants 1.2 at least
AFTER = 0.35  # distance after a paragraph, over type size
HEAD_EM = {"title": 0.0, "lead": 1.15, "state": 1.25, "plain": 1.0, "window": 1.3}  # title: by size


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
