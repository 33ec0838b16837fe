"""What was done to a fill, in words: one entry of care as the story and a taking back say it."""

from decimal import Decimal
from typing import Any

from buckets.models import Care
from buckets.operations.care import DECANTED, LOOSENED
from buckets.operations.reclaim import RECLAIM
from studio import words


def care_words(row: Any) -> str:
    """``water in, 0.4 L``; ``row`` is an entry or anything with its columns."""
    say = WORDS.get(row.kind)
    return say(row) if say else str(row.kind)


def _litres(litres: Decimal | None) -> str:
    return "" if litres is None else f", {words.litres(litres)}"


def _stirred(row: Any) -> str:
    return "settled hard: loosened by hand to the floor" if row.how == LOOSENED else "stirred"


def _powder_in(row: Any) -> str:
    mass = "" if row.mass_g is None else f", {words.mass(row.mass_g)}"
    return f"powder in{mass}{f', {row.how}' if row.how else ''}"


def _water_off(row: Any) -> str:
    how = "decanted" if row.how == DECANTED else "gone standing open"
    return f"water off{_litres(row.volume_l)} {how}"


def _sieved(row: Any) -> str:
    mesh = f", {row.how}" if row.how else ""
    stayed = "" if row.mass_g is None else f", {words.grams(row.mass_g)} stayed on it"
    return f"sieved{mesh}{stayed}"


def _additive_in(row: Any) -> str:
    if row.volume_l is not None and row.stock_g_per_l is not None:
        amount = f", {words.litres(row.volume_l)} of {words.number(row.stock_g_per_l, 2, least=0)}\u00a0g/L"
    else:
        amount = "" if row.mass_g is None else f", {words.grams(row.mass_g)}"
    dose = "" if row.dose_pct is None else f", {words.percent(row.dose_pct, 3)} of the dry glaze"
    return f"{row.additive or 'additive'} in{amount}{dose}"


def _topped_up(row: Any) -> str:
    return f"{'poured in' if row.how == RECLAIM else 'topped up'}{_litres(row.volume_l)}"


WORDS = {
    Care.Kind.STIRRED: _stirred,
    Care.Kind.WATER_IN: lambda row: f"water in{_litres(row.volume_l)}",
    Care.Kind.POWDER_IN: _powder_in,
    Care.Kind.WATER_OFF: _water_off,
    Care.Kind.SIEVED: _sieved,
    Care.Kind.ADDITIVE_IN: _additive_in,
    Care.Kind.TOPPED_UP: _topped_up,
    Care.Kind.SPLIT: lambda row: f"split{_litres(row.volume_l)}",
    Care.Kind.MOVED: lambda row: f"moved{_litres(row.volume_l)}",
}
