"""Limits of the air at work, in mg/m³ over 8 hours unless said: for reference only.

What share of a recipe something has says nothing of how much of it is in the air, so no figure here decides
anything; that the EU has a limit for a substance lets a buyer ask for the sheet (EUH210). Source and mark of
every row are kept; which numbers belong to a row is from memory [M].
"""

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from safety.models import Sheet

FILE = Path(__file__).parent / "data" / "air_limits.csv"


@dataclass(frozen=True, kw_only=True)
class AirLimit:
    """One limit of one authority. ``text``: mg/m³, with what is special about it; ``status``: [O] or [M].

    ``measured_as``: the element that is counted ("Mn"), or empty. ``cas``: none for dust of every kind.
    """

    cas: tuple[str, ...]
    what: str
    measured_as: str
    authority: str
    text: str
    status: str

    @property
    def sentence(self) -> str:
        """As it is read: "OSHA PEL, manganese compounds, as Mn: 5 as a ceiling (mg/m³)"."""
        counted = f", as {self.measured_as}" if self.measured_as else ""
        return f"{self.authority}, {self.what}{counted}: {self.text} (mg/m³)"


@cache
def table() -> tuple[AirLimit, ...]:
    """Every row, in the order of the file."""
    with FILE.open(newline="", encoding="utf-8") as opened:
        return tuple(
            AirLimit(**{**row, "cas": tuple(x.strip() for x in row["cas"].split(";") if x.strip())})
            for row in csv.DictReader(opened)
        )


def air_limits(cas: str) -> tuple[AirLimit, ...]:
    """Limits of the substance with this number; those of dust of every kind where it has none of its own."""
    own = tuple(row for row in table() if cas and cas in row.cas)
    return own or tuple(row for row in table() if not row.cas)


def limits_of(sheet: Sheet) -> list[AirLimit]:
    """Every limit once of what is in a material by its sheet. Fetch with ``constituents``."""
    found = [row for one in sheet.constituents.all() for row in air_limits(one.cas)]
    return list(dict.fromkeys(found))


def eu_limit(cas: str) -> str:
    """The EU's own limit of a substance in words with its mark, "" where no row of it is here."""
    row = next((row for row in table() if cas and cas in row.cas and row.authority == "EU"), None)
    return f"workplace limit, {row.sentence} {row.status}" if row else ""
