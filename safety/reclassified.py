"""When EU law changed what a substance is: a sheet written before that does not know of it.

A convention of ours [P]: such a sheet counts as missing, or as due where the change took a class away. Days
are those of the adaptations, marked in the file; the 17 December 2022 and 1 December 2023 are from memory.
"""

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Literal

FILE = Path(__file__).parent / "data" / "reclassified.csv"


@dataclass(frozen=True, kw_only=True)
class Change:
    """What changed for substances with these numbers, since when, and how an older sheet counts."""

    cas: tuple[str, ...]
    words: str
    since: date
    counts_as: Literal["missing", "due"]
    status: str


@cache
def table() -> tuple[Change, ...]:
    """Every change, in the order of the file."""
    with FILE.open(newline="", encoding="utf-8") as opened:
        return tuple(
            Change(
                cas=tuple(x.strip() for x in row["cas"].split(";")),
                words=row["words"],
                since=date.fromisoformat(row["since"]),
                counts_as="due" if row["counts_as"] == "due" else "missing",
                status=row["status"],
            )
            for row in csv.DictReader(opened)
        )


def changed_since(*, cas: Iterable[str], dated: date | None, today: date) -> Change | None:
    """The gravest change a sheet of that day does not know of, the newest first; None: it knows them all.

    ``cas``: numbers of what is in the material. Without a date the sheet is missing for that reason already.
    """
    numbers = set(cas)
    if dated is None:
        return None
    found = [row for row in table() if numbers & set(row.cas) and dated < row.since <= today]
    return max(found, key=lambda row: (row.counts_as == "missing", row.since), default=None)


def change_for(
    *, law: str, cas: Iterable[str], days: Iterable[date | None], today: date
) -> tuple[Literal["missing", "due"], str, date] | None:
    """The same for a sheet written for ``law``, as its state takes it; only EU sheets answer to EU law."""
    dated = max((day for day in days if day), default=None)
    found = changed_since(cas=cas, dated=dated, today=today) if law == "EU" else None
    return None if found is None else (found.counts_as, found.words, found.since)
