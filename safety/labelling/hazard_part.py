"""What a classification puts on a label, as plain values that are kept with the label."""

import re
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django.utils import timezone

from safety.calc.contact import NO_LEACH_TEST
from safety.models import Classification
from safety.statements import printed_code, statement, wording_of
from studio.room import details

ORDER = ("GHS06", "GHS08", "GHS05", "GHS07", "GHS03", "GHS09")  # then the others; convention
PICTOGRAMS = {
    "GHS01": "exploding bomb",
    "GHS02": "flame",
    "GHS03": "flame over circle",
    "GHS04": "gas cylinder",
    "GHS05": "corrosion",
    "GHS06": "skull and crossbones",
    "GHS07": "exclamation mark",
    "GHS08": "health hazard",
    "GHS09": "environment",
}
DRY = "Dry basis: the classes are those of the dry powder."
ASSUMED = "Assumed: something in it is assumed, not known."
DATA_MISSING = "DATA MISSING: treat as hazardous dust."
UNKNOWN_FROM_PCT = 1  # CLP Annex I 3.1.3.6.2.2, as read in secondary sources
ROUTE_WORDS = {"oral": "if swallowed", "dermal": "on the skin", "inhal_dust": "if breathed in"}
_LEFT_OPEN = re.compile(r"\s*<[^>]*>")


def hazard_part(
    classification: Classification | None, *, food: str = NO_LEACH_TEST, until: date | None = None
) -> dict[str, Any]:
    """The hazard part of a label; None: not classified.

    ``food`` is the sentence about food contact, ``until`` the last day it holds (None: no end). Sheets are
    named for every hazardous material and for those without one, of which nothing is known ("Silica", "");
    nothing is asked of the binder again.
    """
    part: dict[str, Any] = {
        "classified": False,
        "food": food,
        "food_until": until.isoformat() if until else "",
        "supplier": supplier(),
        "marks": [DATA_MISSING],
    }
    if classification is None:
        return part
    result = classification.result
    label, law = result["label"], classification.law
    return part | {
        "classified": True,
        "number": str(classification),
        "law": law,
        "rules": classification.rule_set,
        "date": timezone.localdate(classification.at).isoformat(),
        "identifiers": list(result.get("identifier_names", [])),
        "signal_word": label.get("signal_word") or "",
        "pictograms": in_order(label.get("pictograms", [])),
        "h": worded(label.get("h_codes", []), law, result),
        "p": worded(label.get("p_codes", []), law, result),
        "euh": worded(label.get("euh", []), law, result),
        "unknown_acute": unknown_acute(result.get("unknown_pct") or {}),
        "missing": classification.missing,
        "marks": marks(classification),
        "sheets": sheets_named(classification.inputs),
    }


def in_order(codes: Iterable[str]) -> list[str]:
    """Pictograms in the order they are printed in; GHS07 never beside GHS06."""
    found = set(codes) & set(PICTOGRAMS)
    if "GHS06" in found:
        found.discard("GHS07")
    return sorted(found, key=lambda code: (ORDER.index(code) if code in ORDER else len(ORDER), code))


def sheets_named(inputs: dict[str, Any]) -> list[list[str]]:
    """Materials that are hazardous or without a sheet, each with the number of its sheet or none."""
    return [
        [material["name"], sheet["number"] if sheet else ""]
        for material in inputs.get("materials", [])
        if material["hazardous"] or not material["sheets"]
        for sheet in material["sheets"] or [None]
    ]


def marks(classification: Classification) -> list[str]:
    """What a reader has to know about how sure the classes are."""
    return marks_of(classification.result, assumed=classification.assumed, missing=classification.missing)


def marks_of(result: Mapping[str, Any], *, assumed: bool, missing: bool) -> list[str]:
    """The same of a result, whether it is on file or not."""
    said = [DRY] if result["classes"] else []
    if physical := result.get("physical_to_review"):
        said.append(f"Physical hazards still to be reviewed: {', '.join(physical)}.")
    if assumed:
        said.append(ASSUMED)
    if missing:
        said.append(DATA_MISSING)
    return said


def unknown_acute(unknown_pct: dict[str, Any]) -> list[str]:
    """Sentences about ingredients of unknown acute toxicity, from 1 % on; routes of one share together."""
    found: dict[str, list[str]] = {}
    for route, words in ROUTE_WORDS.items():
        share = unknown_pct.get(route)
        if share is not None and float(share) >= UNKNOWN_FROM_PCT:
            found.setdefault(f"{float(share):.0f}", []).append(words)
    return [
        f"{share} % of the mixture consists of ingredients of unknown acute toxicity"
        + ("." if len(routes) == len(ROUTE_WORDS) else f" ({', '.join(routes)}).")
        for share, routes in found.items()
    ]


def supplier() -> dict[str, str]:
    """Who the studio is, as the newest row of its details says; empty when nobody has said it."""
    row = details.in_force()
    named = {"name": row.name, "address": row.address, "phone": row.phone, "emergency": row.emergency}
    return {name: value for name, value in named.items() if value}


# --- statements in words


def worded(codes: Iterable[str], law: str, result: dict[str, Any]) -> list[list[str]]:
    """Statements as a law prints them: each code with its words. EUH stands under CLP alone."""
    wording = wording_of(law)
    return [
        [printed_code(code, law), sentence(statement(code, wording).text, code, result)]
        for code in codes
        if law == "EU" or not code.startswith("EUH")
    ]


def sentence(text: str, code: str, result: dict[str, Any]) -> str:
    """A statement as it is printed: names put in, what the law leaves to the supplier chosen.

    A slash leaves the choice (CLP Annex IV, part 1): of dust, fume, gas, mist, vapours and spray a glaze
    has dust and spray. What is not known ("state organs, if known") is left out.
    """
    if code == "EUH208":
        text = text.replace("<name of sensitising substance>", _joined(result.get("euh208_names", [])))
    organs = [organ for organ in result.get("organs", {}).get(code, []) if organ]
    if organs:
        text = text.replace("organs <or state all organs affected, if known>", f"organs ({_joined(organs)})")
    for long, short in _CHOSEN.items():
        text = text.replace(long, short)
    return _LEFT_OPEN.sub("", text).strip()


_CHOSEN = {
    "dust/fume/gas/mist/vapours/spray": "dust or spray",
    "dust/fume/gas/mist/vapors/spray": "dust or spray",
    "POISON CENTER/doctor/… if": "POISON CENTER or a doctor if",
    "POISON CENTER/doctor/…": "POISON CENTER or a doctor.",
    "face protection/hearing protection/…": "face protection.",
    "plenty of water/…": "plenty of water.",
    "Wash … thoroughly": "Wash hands thoroughly",
    "Wash hands [and …] thoroughly": "Wash hands thoroughly",
    "Dispose of contents/container to …": "Dispose of it as glaze waste, by local rules.",
    "[or shower]": "or shower",
}


def _joined(names: Iterable[str]) -> str:
    return ", ".join(names)
