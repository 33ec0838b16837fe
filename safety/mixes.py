"""What a mixture is made of, by shares of its dry mass: recipe versions, materials, and what is not known.

Water is left out, because dried splashes and dust have the dry composition and a dry share is never the
milder one. The same mixture has the same digest, however its parts were told.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from studio.calc.apportion import largest_remainder

STEP = Decimal("0.000000001")  # of a share kept: a hundred-thousandth of the smallest limit there is


@dataclass(frozen=True, kw_only=True)
class Part:
    """One part of a mixture: a recipe version or a material by its id, or words for what is not known.

    ``share`` is of the dry mass, 0 to 1. A share of 0 says that some of it may be in there.
    """

    share: Decimal
    version: int | None = None
    material: int | None = None
    unknown: str = ""

    def __post_init__(self) -> None:
        said = [self.version is not None, self.material is not None, bool(self.unknown)]
        if sum(said) != 1:
            raise ValueError("a part is a version, a material or something unknown, one of the three")
        if not 0 <= self.share <= 1:
            raise ValueError("a share lies between 0 and 1")

    @property
    def key(self) -> tuple[int, int, str]:
        """Order of parts: versions, materials, what is unknown."""
        if self.version is not None:
            return (0, self.version, "")
        if self.material is not None:
            return (1, self.material, "")
        return (2, 0, self.unknown)


@dataclass(frozen=True)
class Mix:
    """The parts of a mixture; each once, in order, shares adding to exactly 1."""

    parts: tuple[Part, ...]

    def __post_init__(self) -> None:
        keys = [part.key for part in self.parts]
        if sorted(set(keys)) != keys:
            raise ValueError("each part once, and in order")
        if sum((part.share for part in self.parts), Decimal(0)) != 1:
            raise ValueError("the shares of a mixture add up to 1")

    @property
    def versions(self) -> dict[int, Decimal]:
        """Share of each recipe version in it, by id."""
        return {part.version: part.share for part in self.parts if part.version is not None}

    @property
    def materials(self) -> dict[int, Decimal]:
        """Share of each material put in by itself, by id."""
        return {part.material: part.share for part in self.parts if part.material is not None}

    @property
    def unknown(self) -> dict[str, Decimal]:
        """Share of what is not known, by what is said of it."""
        return {part.unknown: part.share for part in self.parts if part.unknown}


def mix_of_version(version: Any) -> Mix:
    """A recipe version as it is written (the row or its id)."""
    return Mix((Part(version=getattr(version, "pk", version), share=Decimal(1)),))


def mix_of_material(material: Any) -> Mix:
    """A material as it stands in its bag (the row or its id)."""
    return Mix((Part(material=getattr(material, "pk", material), share=Decimal(1)),))


def mix_of_unknown(words: str) -> Mix:
    """Something of which nothing is known but ``words``."""
    return Mix((Part(unknown=words, share=Decimal(1)),))


def together(parts: Iterable[Part]) -> Mix:
    """A mixture of parts in any proportion: added where they are the same, brought to a sum of exactly 1.

    Shares here are amounts of any one unit, not all 0; ValueError otherwise.
    """
    found: dict[tuple[int, int, str], Decimal] = {}
    for part in parts:
        found[part.key] = found.get(part.key, Decimal(0)) + part.share
    return of_amounts(found)


def of_amounts(amounts: Mapping[tuple[int, int, str], Decimal]) -> Mix:
    """A mixture from an amount by each part's ``key``, 0 or more, not all 0."""
    keys = sorted(amounts)
    shares = largest_remainder(shares=[amounts[key] for key in keys], total=Decimal(1), step=STEP)
    return Mix(tuple(_part(key, share) for key, share in zip(keys, shares, strict=True)))


def _part(key: tuple[int, int, str], share: Decimal) -> Part:
    kind, number, words = key
    if kind == 2:
        return Part(unknown=words, share=share)
    return Part(version=number, share=share) if kind == 0 else Part(material=number, share=share)


def canonical(mix: Mix) -> list[dict[str, Any]]:
    """The mixture as JSON, always written the same way: kept in ``Classification.mix``."""
    return [_plain(part) for part in mix.parts]


def _plain(part: Part) -> dict[str, Any]:
    share = format(part.share.normalize(), "f") if part.share else "0"
    if part.version is not None:
        return {"version": part.version, "share": share}
    if part.material is not None:
        return {"material": part.material, "share": share}
    return {"unknown": part.unknown, "share": share}


def from_plain(said: Iterable[Mapping[str, Any]]) -> Mix:
    """The other way round."""
    parts = [Part(**{**part, "share": Decimal(part["share"])}) for part in said]
    return Mix(tuple(sorted(parts, key=lambda part: part.key)))


def digest(mix: Mix) -> str:
    """SHA-256 of the mixture as JSON: the same mixture, the same digest."""
    return digest_of(canonical(mix))


def digest_of(plain: Any) -> str:
    """SHA-256 of something written as JSON with its names in order."""
    return hashlib.sha256(json.dumps(plain, sort_keys=True, ensure_ascii=False).encode()).hexdigest()
