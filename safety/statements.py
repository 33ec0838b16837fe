"""Hazard and precautionary statements in the words of CLP or of the UN text, with the mark of each source."""

import csv
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "data" / "statements.csv"


# H350i, H360FD, H361d …: the letters are codes of the EU; UN GHS and US rules say effect and route in words.
_LETTERED = re.compile(r"(H350|H360|H361)[A-Za-z]+")


@dataclass(frozen=True, kw_only=True)
class Statement:
    """One statement. ``text`` as the law writes it, with <…> and … where the supplier fills in or chooses.

    ``status``: [O] the wording was read in a copy, [M] it is from memory; "" for a code no table knows.
    """

    code: str
    text: str
    status: str
    used_in: str = ""
    note: str = ""


@cache
def _rows() -> dict[str, dict[str, str]]:
    with FILE.open(newline="", encoding="utf-8") as opened:
        return {row["code"]: row for row in csv.DictReader(opened)}


@cache
def statement(code: str, wording: str = "CLP") -> Statement:
    """The statement of a code, combined ones ("P301+P312") included; ``wording``: "CLP" or "GHS".

    A combination the table does not hold is put together from its parts. KeyError for a code nobody knows.
    """
    row = _rows().get(code)
    if row is None and "+" in code:
        parts = [statement(one, wording) for one in code.split("+")]
        marks = dict.fromkeys(part.status for part in parts)
        return Statement(
            code=code,
            text=" ".join(part.text for part in parts),
            status="; ".join(marks),
            note="put together",
        )
    if row is None:
        raise KeyError(f"there is no statement {code}")
    newer = row["un_rev9_10_text_if_different"]
    return Statement(
        code=code,
        text=newer if newer and wording == "GHS" else row["text_en"],
        status=row["status"],
        used_in=row["used_in"],
        note=row["note"],
    )


def wording_of(law: str) -> str:
    """Whose words a law ("EU", "US", "UN") prints, as ``statement`` asks for them."""
    return "GHS" if law == "UN" else "CLP"


def printed_code(code: str, law: str) -> str:
    """A code as it is printed under a law ("EU", "US", "UN"): by CLP alone with letters, "H360FD"."""
    found = None if law == "EU" else _LETTERED.fullmatch(code)
    return found[1] if found else code


def codes_of(label: Mapping[str, Any], law: str) -> list[str]:
    """The codes of a label's hazard statements as a law prints them, those of CLP alone (EUH) last."""
    return printed_codes([*label.get("h_codes", ()), *label.get("euh", ())], law)


def printed_codes(codes: Iterable[str], law: str) -> list[str]:
    """Codes as a law prints them; EUH statements stand under CLP alone."""
    shown = [code for code in codes if law == "EU" or not code.startswith("EUH")]
    return list(dict.fromkeys(printed_code(code, law) for code in shown))
