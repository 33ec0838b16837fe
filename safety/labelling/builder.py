"""The one builder of labels: printed labels in, faces on pages out, with what has to be said about them."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from safety.labelling import wording
from safety.labelling.faces import lay_out, strip_mm
from safety.labelling.pieces import Face, Laid, TooSmall
from safety.labelling.sheets import Grid, places
from safety.labelling.sizes import PRINTED, Printed, printed_for
from safety.labelling.small import name_mm, with_least
from safety.models import Label

MOST = 200  # labels in one PDF
KINDS = ("name", "label", "strip")
WITHOUT_LID = {Label.Purpose.CUP, Label.Purpose.TILES, Label.Purpose.LOT}


@dataclass(frozen=True, kw_only=True)
class Item:
    """A face where it lies on its page; mm from the upper left corner."""

    face: Face
    size: Printed
    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    folded: bool = False


@dataclass(frozen=True, kw_only=True)
class Page:
    """A page of paper and what lies on it."""

    name: str
    width_mm: float
    height_mm: float
    items: tuple[Item, ...]


@dataclass(frozen=True, kw_only=True)
class Job:
    """Pages to print, and by serial what a person should know about them."""

    pages: list[Page]
    notes: dict[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Wish:
    """How labels are wanted: on a stock or each on its own page, from which place, with lid strips, what
    does not fit folded under the first face or on a label of its own."""

    grid: Grid | None = None
    start: int = 1
    strips: bool = False
    fold: bool = False


def build(labels: Sequence[Label], wish: Wish, sheet_address: wording.SheetAddress) -> Job:
    """Lay out labels as wished. Raises TooSmall, naming the label that does not fit."""
    laid = [_laid(label, wish, sheet_address) for label in labels]
    sets = [[*one.faces, *_strip(label, one, wish)] for label, one in zip(labels, laid, strict=True)]
    notes = {label.serial: one.notes for label, one in zip(labels, laid, strict=True)}
    if wish.grid is not None:
        return Job(pages=_on_sheets(sets, laid, wish.grid, wish.start), notes=notes)
    return Job(
        pages=[page for faces, one in zip(sets, laid, strict=True) for page in _alone(faces, one, wish)],
        notes=notes,
    )


def _laid(label: Label, wish: Wish, sheet_address: wording.SheetAddress) -> Laid:
    """Its faces: of the stock's size, or of its own; a larger one when its words need it."""
    words, size = wording.words_of(label, sheet_address), printed_for(wording.capacity_l(label))
    own = [(one.width_mm, one.height_mm) for one in PRINTED[PRINTED.index(size) :]]
    grid = wish.grid
    tried = [(grid.width_mm, grid.height_mm)] if grid else list(dict.fromkeys(own))
    for number, (wide, high) in enumerate(tried, 1):
        try:
            return with_least(label, lay_out(words, size, wide, high), folds=wish.fold and grid is None)
        except TooSmall as problem:
            if number == len(tried):
                raise TooSmall(f"{label.serial}, {words.title}: {problem.sentence}") from problem
    raise AssertionError("there is no label without a size")


def _strip(label: Label, laid: Laid, wish: Wish) -> list[Face]:
    """The strip for its lid, with the same serial: lids are swapped."""
    if not wish.strips or label.purpose in WITHOUT_LID:
        return []
    words = laid.faces[-1].words
    high = strip_mm(words, laid.size, laid.width_mm)
    if wish.grid is not None and wish.grid.height_mm < high:
        raise TooSmall(f"A lid strip is {high:g} mm high here; these labels are {wish.grid.height_mm:g} mm.")
    return [Face(number=1, of=1, words=words, blocks=(), kind="strip")]


def _on_sheets(sets: list[list[Face]], laid: list[Laid], grid: Grid, start: int) -> list[Page]:
    every = [(face, one.size) for faces, one in zip(sets, laid, strict=True) for face in faces]
    pages, at = [], 0
    for used in places(len(every), grid, start):
        items = []
        for (face, size), place in zip(every[at : at + len(used)], used, strict=True):
            left, top = grid.corner_mm(place)
            items.append(
                Item(
                    face=face,
                    size=size,
                    left_mm=left,
                    top_mm=top,
                    width_mm=grid.width_mm,
                    height_mm=grid.height_mm,
                )
            )
        at += len(used)
        wide, high = grid.paper_mm
        pages.append(Page(name="sheet", width_mm=wide, height_mm=high, items=tuple(items)))
    return pages


def _alone(faces: list[Face], laid: Laid, wish: Wish) -> list[Page]:
    """Pages of the label's own size: one a face, or one with all of them to be folded; names and strips on
    pages as high as they are."""
    names, labels, strips = ([face for face in faces if face.kind == kind] for kind in KINDS)
    whole = _folded(labels, laid) if wish.fold and len(labels) > 1 else _each(labels, laid)
    name = [_low(face, laid, name_mm(face.words, laid.size, laid.width_mm)) for face in names]
    strip = [_low(face, laid, strip_mm(face.words, laid.size, laid.width_mm)) for face in strips]
    return [*name, *whole, *strip]


def _each(labels: list[Face], laid: Laid) -> list[Page]:
    wide, high = laid.width_mm, laid.height_mm
    return [_page(laid.size.name, _item(face, laid.size, 0, wide, high)) for face in labels]


def _folded(labels: list[Face], laid: Laid) -> list[Page]:
    wide, high = laid.width_mm, laid.height_mm
    items = [_item(face, laid.size, n * high, wide, high, n > 0) for n, face in enumerate(labels)]
    name = f"{laid.size.name}{len(labels)}"
    return [Page(name=name, width_mm=wide, height_mm=high * len(labels), items=tuple(items))]


def _low(face: Face, laid: Laid, high: float) -> Page:
    """A page for a face that is lower than a label."""
    return _page(f"{laid.size.name}{face.kind}{high:.0f}", _item(face, laid.size, 0, laid.width_mm, high))


def _page(name: str, item: Item) -> Page:
    return Page(name=name, width_mm=item.width_mm, height_mm=item.height_mm, items=(item,))


def _item(face: Face, size: Printed, top: float, wide: float, high: float, folded: bool = False) -> Item:
    return Item(face=face, size=size, left_mm=0, top_mm=top, width_mm=wide, height_mm=high, folded=folded)
