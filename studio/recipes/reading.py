"""What was typed as a recipe, line by line: which material each line names, or what stands in the way."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from studio.materials.models import Material
from studio.materials.names import KnownNames
from studio.recipes.calc.notebook import NotebookLine, Reading, read_notebook
from studio.recipes.models import Line, Version
from studio.recipes.operations.lines import TypedLine

UNIT_WORDS = {"%": "percent", "parts": "parts", "g": "grams"}


@dataclass(frozen=True, kw_only=True)
class Row:
    """One typed line: ``line`` when it is understood, else a ``problem`` in words.

    ``unknown`` are the names the store does not have, ``offers`` at most three it has that are like
    them. ``stated`` is a sum the notebook gives, which is checked and not kept as a line.
    """

    kind: str
    number: int
    text: str
    line: TypedLine | None = None
    problem: str = ""
    unknown: tuple[str, ...] = ()
    offers: tuple[Material, ...] = ()
    stated: Decimal | None = None

    @property
    def sentence(self) -> str:
        """What is wrong, said so that it can stand alone beside the field."""
        return f"Line {self.number}, “{self.text}”: {self.problem}" if self.problem else ""


def read_rows(kind: str, text: str, typed_as: str, names: KnownNames) -> list[Row]:
    """Every line of one text area, in order. ``kind`` is a ``Line.Kind``, ``typed_as`` a ``TypedAs``."""
    return [_row(kind, line, typed_as, names) for line in read_notebook(text)]


def understood(rows: Iterable[Row]) -> list[TypedLine]:
    """The lines among these rows that are whole."""
    return [row.line for row in rows if row.line is not None]


def typed_again(lines: Iterable[Line], kind: str) -> str:
    """Lines of a version as text for the area they came from; a colon keeps a number in a name apart."""
    own = [line for line in lines if line.kind == kind]
    return "\n".join(f"{line.typed_name}: {line.typed}" for line in own)


def _row(kind: str, line: NotebookLine, typed_as: str, names: KnownNames) -> Row:
    if line.problem:
        return Row(kind=kind, number=line.number, text=line.text, problem=line.problem)
    if line.is_total:
        return Row(kind=kind, number=line.number, text=line.text, stated=line.readings[0].parts)
    known = [reading for reading in line.readings if names.find(reading.name)]
    if not known:
        return _unknown(kind, line, names)
    if len(known) > 1:
        ways = " or ".join(f"{reading.typed} of {reading.name}" for reading in known)
        problem = f"This can be read as {ways}. Put a colon between the name and the amount."
    else:
        problem = known[0].problem or _other_unit(known[0], typed_as)
    if problem:
        return Row(kind=kind, number=line.number, text=line.text, problem=problem)
    return Row(kind=kind, number=line.number, text=line.text, line=_typed_line(kind, known[0], names))


def _typed_line(kind: str, reading: Reading, names: KnownNames) -> TypedLine:
    material = names.find(reading.name)
    assert material is not None  # noqa: S101 - the caller has found it by this name
    return TypedLine(
        kind=kind, material=material, typed_name=reading.name, parts=reading.parts, typed=reading.typed
    )


def _unknown(kind: str, line: NotebookLine, names: KnownNames) -> Row:
    unknown = tuple(dict.fromkeys(reading.name for reading in line.readings))
    offers = dict.fromkeys(offer for name in unknown for offer in names.suggestions(name))
    said = " or ".join(f"“{name}”" for name in unknown)
    like = " or ".join(offer.name for offer in list(offers)[:3])
    return Row(
        kind=kind,
        number=line.number,
        text=line.text,
        problem=f"{said} is not in the store." + (f" It is like {like}." if like else ""),
        unknown=unknown,
        offers=tuple(offers)[:3],
    )


def _other_unit(reading: Reading, typed_as: str) -> str:
    wanted = UNIT_WORDS.get(reading.unit, typed_as)
    if wanted == typed_as or typed_as not in Version.TypedAs.values:
        return ""
    return f"This line says {wanted}, but the amounts are marked as {typed_as}. Change one of the two."
