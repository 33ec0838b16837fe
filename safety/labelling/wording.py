"""A printed label in words: what its kept content says, in the order it is read, for ``faces``.

Everything comes from ``Label.content``: a label says what it said when it was printed.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from safety.calc.sizes import Least, us_least
from safety.labelling.hazard_part import NO_LEACH_TEST
from safety.labelling.pieces import Block, Line, Reference, Words
from safety.models import Label
from studio.calc.days import said_day
from studio.words import nth

Content = dict[str, Any]
SheetAddress = Callable[[str], str]  # from "S014" to where its page is
USUAL_L = {Label.Purpose.CUP: Decimal("0.5"), Label.Purpose.LOT: Decimal(25)}  # of labels without a capacity
NOT_CLASSIFIED = "not yet classified; the safety data sheets decide."
DUST = "Dry glaze is dust: wipe wet, never sweep. Wash hands."
NOBODY_KNOWS = "Not known what is in it: treat it as hazardous."
FEET = {
    Label.Purpose.BUCKET: "Stir to the floor before use. Scan for today's answer.",
    Label.Purpose.WORKING: "Do not dip, do not move the lid to another bucket.",
    Label.Purpose.CUP: "What is left goes into the glaze waste.",
    Label.Purpose.TUB: "Scoop with the respirator on. Close the lid.",
    Label.Purpose.POT: "Weighed: all of it, for this batch alone.",
    Label.Purpose.TILES: "Raw glaze rubs off: hold the tiles by their feet.",
    Label.Purpose.WASTE: "Not down the sink, not into the household waste. Ask who takes it.",
    Label.Purpose.LOT: "Keep the supplier's own label on the bag.",
}


def capacity_l(label: Label) -> Decimal:
    """What the container of a label holds, in litres; a bucket's 20 L when its label does not say."""
    said = label.content.get("capacity_l")
    return Decimal(said) if said else USUAL_L.get(Label.Purpose(label.purpose), Decimal(20))


def words_of(label: Label, sheet_address: SheetAddress) -> Words:
    """Everything a label says."""
    content, hazards = label.content, label.content.get("hazards") or {}
    sheets = _references(label, hazards, sheet_address)
    return Words(
        title=content.get("title") or _title(label),
        code=label.vessel_code if label.purpose != Label.Purpose.CUP else "",
        serial=label.serial,
        head=tuple(_head(label)),
        pictograms=tuple(hazards.get("pictograms", [])),
        signal_word=hazards.get("signal_word", ""),
        blocks=tuple(block for block in _blocks(label, hazards, bool(sheets)) if block.pieces),
        sheets=sheets,
    )


def least(label: Label) -> Least:
    """How little its container may bear: less than the full label under US law alone."""
    hazards = label.content.get("hazards") or {}
    return us_least(capacity_l=capacity_l(label)) if hazards.get("law") == "US" else "full"


def short(label: Label, words: Words) -> Words:
    """What the short label keeps: name, pictograms, signal word, who to ring, where the rest is."""
    said = (label.content.get("hazards") or {}).get("supplier", {})
    ring = ", ".join(part for part in (said.get("name", ""), said.get("phone", "")) if part)
    outside = f"The full label is on the outer package: {label.serial}."
    return replace(words, blocks=(Block("short", "", _plain([ring, outside])),), sheets=())


def _title(label: Label) -> str:
    content = label.content
    if label.purpose == Label.Purpose.CUP:
        return f"{content['short']} {content['how']} {content['to_sg']}"
    return content["glaze"]


# --- beside the QR code


def _head(label: Label) -> Iterator[Line]:
    content = label.content
    if label.state == Label.State.VOID:
        yield Line("state", "VOID: do not stick it on")
    if label.purpose == Label.Purpose.CUP:
        yield Line("state", "not back to the bucket")
        yield Line("plain", _joined(f"{content['glaze']} from {content['vessel']}", *_when(label)))
        return
    if lead := _lead(content):
        yield Line("lead", lead)
    for state in _states(content):
        yield Line("state", state)
    batch = f"batch {content['batch']}" if content.get("batch") else ""
    unknown = "history unknown" if content.get("history_unknown") else ""
    yield Line("plain", _joined(batch, *content.get("about", []), *_when(label), unknown))
    if content.get("sg_low"):
        yield Line("window", f"SG {content['sg_low']} to {content['sg_high']}")


def _lead(content: Content) -> str:
    cone = f"cone {content['cone']}, {content['atmosphere']}" if content.get("cone") else ""
    version = f"version {content['version']}" if content.get("version") else ""
    return _joined(content.get("lead", ""), cone, version)


def _states(content: Content) -> Iterator[str]:
    if content.get("state"):
        yield content["state"]
    if content.get("reclaim"):
        yield "reclaim: not for food surfaces"


def _when(label: Label) -> tuple[str, str]:
    again = f"{nth(label.print_number)} print" if label.print_number > 1 else ""
    return said_day(timezone.localdate(label.printed_at)), again


# --- below it


def _blocks(label: Label, hazards: Content, codes: bool) -> Iterator[Block]:
    """Paragraphs in the order they are read; ``codes``: data sheets are named below QR codes of their own."""
    names = contained(label.content, hazards)
    yield Block("contains", "Contains" if names else "", _listed(names or [NOBODY_KNOWS]))
    yield Block("h", "", _coded(hazards.get("h", [])))
    yield Block("euh", "", (*_coded(hazards.get("euh", [])), *_plain(hazards.get("unknown_acute", []))))
    yield Block("p", "", _coded(hazards.get("p", [])))
    yield Block("marks", "", _plain([*told_of(label.content, hazards), DUST]))
    if not codes:
        yield Block("sheets", "Data sheets", _sheets(hazards))
    food = hazards.get("food") or NO_LEACH_TEST
    yield Block("foot", "", _plain([food, FEET[Label.Purpose(label.purpose)]]))
    yield Block("from", "", _plain([_supplier(hazards.get("supplier", {})), _rules(hazards)]))


def contained(content: Content, hazards: Content) -> list[str]:
    """The substances the law names; where a part is not classified every material with its words, too.

    Nothing: nobody knows what is in it."""
    named = list(hazards.get("identifiers", []))
    if named and not hazards.get("missing"):
        return named
    named += [
        f"{entry['material']} ({entry['words']})" if entry.get("words") else str(entry["material"])
        for entry in content.get("contents", [])
    ]
    if content.get("reclaim") and named:
        named.append("and what nobody knows: treat it as hazardous")
    return named


def _listed(names: list[str]) -> tuple[tuple[str, str], ...]:
    return _plain([f"{name}," for name in names[:-1]] + [f"{names[-1].rstrip('.')}."])


def told_of(content: Content, hazards: Content) -> list[str]:
    """How sure the classes are, and which materials are not classified."""
    said = list(hazards.get("marks", []))
    if not hazards.get("classified"):
        return [f"From the material list, {NOT_CLASSIFIED}", *said]
    if hazards.get("missing"):
        unknown = [material for material, number in hazards.get("sheets", []) if not number]
        listed = {entry["material"] for entry in content.get("contents", [])}
        if not listed and not unknown:
            return [f"It is {NOT_CLASSIFIED}", *said]
        if listed and listed <= set(unknown):  # all of it: the names stand above
            return [f"From the material list, {NOT_CLASSIFIED}", *said]
        return [f"{', '.join(unknown) or 'A part of it'}: {NOT_CLASSIFIED}", *said]
    return said


def _sheets(hazards: Content) -> tuple[tuple[str, str], ...]:
    rows = [(number, f"{material},") for material, number in hazards.get("sheets", []) if number]
    return (*rows[:-1], (rows[-1][0], rows[-1][1].rstrip(",") + ".")) if rows else ()


def _supplier(said: dict[str, str]) -> str:
    emergency = f"in an emergency {said['emergency']}" if said.get("emergency") else ""
    named = [said.get(part, "") for part in ("name", "address", "phone")]
    return ", ".join(part for part in (*named, emergency) if part) + "." if any(named) else ""


def _rules(hazards: Content) -> str:
    if not hazards.get("classified") or (hazards.get("missing") and not hazards.get("h")):
        return ""  # there are no classes to name the rules of
    day = said_day(date.fromisoformat(hazards["date"]))
    return f"Classes {hazards['number']} of {day} by {hazards['rules']}."


def _coded(rows: list[list[str]]) -> tuple[tuple[str, str], ...]:
    return tuple((code, text) for code, text in rows)


def _plain(texts: list[str]) -> tuple[tuple[str, str], ...]:
    return tuple(("", text) for text in texts if text)


def _joined(*parts: str) -> str:
    return " · ".join(part for part in parts if part)


# --- data sheets


def _references(label: Label, hazards: Content, sheet_address: SheetAddress) -> tuple[Reference, ...]:
    """A QR code for each data sheet. A small label of many materials has its own code alone: it opens a
    page with all of them."""
    rows = [(number, material) for material, number in hazards.get("sheets", []) if number]
    if len(rows) > 1 and capacity_l(label) <= 3:
        return ()
    return tuple(Reference(number, material, sheet_address(number)) for number, material in rows)
