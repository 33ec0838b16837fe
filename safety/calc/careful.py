"""Elements to be careful with where food touches the glaze: flagged by presence, whatever the amount.

They are looked for in the names of the materials and of the substances their sheets list. A name that says
nothing (a frit, an ash) is not harmless: its analysis is not known, and that is said.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

TOXIC = ("Pb", "Cd")  # what is never offered for food, whatever a test of these two says
WHOLE_PCT = Decimal(99)  # a material is known when its substances come to this; common practice, no source
OPAQUE_CAS = ("65997-18-4", "65997-17-3")  # frits; glass: one number for anything melted together
_OPAQUE = re.compile(r"\b(frits?|glass)\b")
_DENIED = re.compile(r"\b[a-z]+[- ]free\b|\b(?:free of|without|no) [a-z]+")


@dataclass(frozen=True, kw_only=True)
class CarefulElement:
    """An element to be careful with: ``words`` give it away in a name, one with * as the beginning of one."""

    symbol: str
    name: str
    why: str
    words: tuple[str, ...]
    status: str


@dataclass(frozen=True, kw_only=True)
class Analysed:
    """A material as far as it is known: its names, and its substances by names and mass percent."""

    name: str
    names: tuple[str, ...] = ()
    substances: tuple[tuple[tuple[str, ...], str, Decimal], ...] = ()  # names, CAS number, percent at most

    @property
    def known(self) -> bool:
        """Whether substances are named that come to all of it, none of them a frit or a glass."""
        opaque = any(
            cas in OPAQUE_CAS or any(_OPAQUE.search(name.casefold()) for name in names)
            for names, cas, _ in self.substances
        )
        return not opaque and sum((pct for *_, pct in self.substances), Decimal(0)) >= WHOLE_PCT


@dataclass(frozen=True, kw_only=True)
class Flag:
    """An element to be careful with and the materials that bring it."""

    element: CarefulElement
    materials: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Careful:
    """What to be careful with in a glaze; ``unknown``: materials whose analysis is not known."""

    flags: tuple[Flag, ...] = ()
    unknown: tuple[str, ...] = ()

    @property
    def symbols(self) -> tuple[str, ...]:
        """Symbols of the elements flagged."""
        return tuple(flag.element.symbol for flag in self.flags)

    @property
    def toxic(self) -> tuple[Flag, ...]:
        """Lead and cadmium, where they are in it."""
        return tuple(flag for flag in self.flags if flag.element.symbol in TOXIC)


def careful_of(materials: Iterable[Analysed], elements: Sequence[CarefulElement]) -> Careful:
    """What to be careful with in a mixture of ``materials``, in the order of ``elements``."""
    found: dict[str, list[str]] = {}
    unknown = []
    for material in materials:
        for symbol in elements_in(_names(material), elements):
            found.setdefault(symbol, []).append(material.name)
        if not material.known:
            unknown.append(material.name)
    return Careful(
        flags=tuple(
            Flag(element=one, materials=tuple(dict.fromkeys(found[one.symbol])))
            for one in elements
            if one.symbol in found
        ),
        unknown=tuple(dict.fromkeys(unknown)),
    )


def _names(material: Analysed) -> list[str]:
    of_substances = [name for names, _, _ in material.substances for name in names]
    return [material.name, *material.names, *of_substances]


def elements_in(names: Iterable[str], elements: Sequence[CarefulElement]) -> list[str]:
    """Symbols of the elements that any of ``names`` gives away; "lead-free" gives none away."""
    said = [_DENIED.sub(" ", name.casefold()) for name in names]
    words = {word for name in said for word in re.findall(r"[a-z0-9]+", name)}
    return [one.symbol for one in elements if any(_gives(word, words, said) for word in one.words)]


def _gives(word: str, words: set[str], said: Sequence[str]) -> bool:
    if word.endswith("*"):
        return any(found.startswith(word[:-1]) for found in words)
    return any(word in name for name in said) if " " in word else word in words


def named(flags: Sequence[Flag]) -> str:
    """Elements with what brings them: "copper (Copper carbonate), strontium (Strontium carbonate)"."""
    return ", ".join(f"{flag.element.name} ({', '.join(flag.materials)})" for flag in flags)
