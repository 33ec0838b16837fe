"""What is said where powder is handled: each material by the law's words, or that it is not classified.

It comes from what the bag's content was found to be when its sheet was filed: one query for any number of
materials. A material without one is treated as hazardous dust.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from safety.hazards import newest
from safety.labelling.hazard_part import worded
from safety.mixes import digest, mix_of_material
from safety.models import Classification

ORDER = ("Danger", "Warning")


class Handled(NamedTuple):
    """A material somebody handles: its id, its name, the studio's own note of it."""

    material: int
    name: str
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Caution:
    """``said``: signal word and statements, "" where the law asks for none. ``known``: it is classified."""

    material: int
    name: str
    note: str
    known: bool
    signal_word: str = ""
    said: str = ""

    @property
    def rank(self) -> int:
        """The gravest first; what nobody knows stands before what is merely a warning."""
        if not self.known:
            return 1
        return {"Danger": 0, "Warning": 2}.get(self.signal_word, 3 if self.said else 4)


def cautions(handled: Iterable[Handled]) -> list[Caution]:
    """A caution for each material once, the gravest first."""
    rows = list(dict.fromkeys(handled))
    digests = {row.material: digest(mix_of_material(row.material)) for row in rows}
    on_file = newest(digests.values()) if rows else {}
    found = [caution_of(row, on_file.get(digests[row.material])) for row in rows]
    return sorted(found, key=lambda caution: caution.rank)


def caution_of(row: Handled, kept: Classification | None) -> Caution:
    """What is said of a material by the classification of its bag; None: there is none."""
    if kept is None or kept.missing:
        return Caution(material=row.material, name=row.name, note=row.note, known=False)
    label = kept.result["label"]
    # EUH210 speaks of paper: it warns nobody who holds the scoop
    said = " ".join(words for code, words in statements_of(kept) if code != "EUH210")
    return Caution(
        material=row.material,
        name=row.name,
        note=row.note,
        known=True,
        signal_word=label.get("signal_word") or "",
        said=said,
    )


def statements_of(kept: Classification) -> list[list[str]]:
    """The hazard statements of a classification, each code with its words."""
    label = kept.result["label"]
    return worded([*label.get("h_codes", ()), *label.get("euh", ())], kept.law, kept.result)
