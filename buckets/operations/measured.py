"""What was told of one measurement becomes the columns of a reading, by the way it was measured."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from buckets.models import Reading
from studio import words
from studio.calc.gravity_scales import TOLD
from studio.errors import Refused
from studio.room import measuring
from studio.room.measuring import Measured
from studio.room.models import Glass, Hydrometer, Scale

TARE_APART = Decimal("0.02")  # a glass that weighs this share more or less is another one, or not clean
Method = Reading.Method


@dataclass(frozen=True, kw_only=True)
class Told:
    """Everything that may be said about one measurement; which of it counts depends on the way."""

    sg: Decimal | None = None
    u_sg: Decimal | None = None
    gross_g: Decimal | None = None
    tare_g: Decimal | None = None
    water_g: Decimal | None = None
    glass: Glass | None = None
    scale: Scale | None = None
    tare_checked: bool = False
    as_read: Decimal | None = None
    modulus: Decimal | None = None
    hydrometer: Hydrometer | None = None
    temperature_c: Decimal | None = None


def columns(way: str, told: Told) -> tuple[dict[str, Any], str]:
    """Columns of the reading (``sg``, ``u_sg``, ``method`` and what is kept), and the field they rest on.

    ``way`` is a method of ``Reading``; empty: weighed when weights were given, else typed. ``Refused`` with
    the field when something is missing or cannot be.
    """
    if not way:
        way = Method.WEIGHED if told.gross_g is not None else Method.TYPED
    if way in TOLD:
        return _by_unit(way, told)
    found = BY.get(way)
    if found is None:
        raise Refused("How was it measured? Choose one of the ways.", field="way")
    return found(told)


def _kept(method: str, measured: Measured, **kept: Any) -> dict[str, Any]:
    return {"method": method, "sg": measured.sg, "u_sg": measured.u_sg, **kept}


def _typed(told: Told) -> tuple[dict[str, Any], str]:
    if told.sg is None:
        raise Refused("Weigh a filled glass, or type the specific gravity.", field="sg")
    measured = Measured(sg=told.sg, u_sg=told.u_sg)
    return _kept(Method.TYPED, measured, as_read=told.as_read), "sg"


def _weighed(told: Told) -> tuple[dict[str, Any], str]:
    tare_g, gross_g = _tare(told), _wanted(told.gross_g, "gross_g", "Weigh the filled glass.")
    _refuse_weight(told.scale, gross_g, tare_g, "gross_g")
    assert told.glass is not None  # noqa: S101 - asked for with the tare
    measured = measuring.weighed(gross_g=gross_g, tare_g=tare_g, glass=told.glass, scale=told.scale)
    weights = {"gross_g": gross_g, "tare_g": tare_g, "glass": told.glass, "scale": told.scale}
    return _kept(Method.WEIGHED, measured, **weights), "gross_g"


def _against_water(told: Told) -> tuple[dict[str, Any], str]:
    own = told.glass.empty_g if told.glass else None
    tare_g = _wanted(own if told.tare_g is None else told.tare_g, "tare_g", "What does it weigh empty?")
    water_g = _wanted(told.water_g, "water_g", "What does it weigh with water?")
    gross_g = _wanted(told.gross_g, "gross_g", "What does it weigh with glaze?")
    for field, filled in (("water_g", water_g), ("gross_g", gross_g)):
        _refuse_weight(told.scale, filled, tare_g, field)
    _refuse_warmth(told.temperature_c)
    if told.glass is not None:
        _refuse_other_glass(told.glass, water_g - tare_g)
    measured = measuring.against_water(
        gross_g=gross_g,
        tare_g=tare_g,
        water_g=water_g,
        temperature_c=told.temperature_c,
        glass=told.glass,
        scale=told.scale,
    )
    weights = {"gross_g": gross_g, "tare_g": tare_g, "water_g": water_g}
    kept = {**weights, "glass": told.glass, "scale": told.scale}
    return _kept(Method.AGAINST_WATER, measured, **kept), "gross_g"


def _by_hydrometer(told: Told) -> tuple[dict[str, Any], str]:
    if told.hydrometer is None:
        raise Refused("Which hydrometer is it?", field="hydrometer")
    as_read = _wanted(told.as_read, "as_read", "What does it say?")
    warmth = _wanted(
        told.temperature_c,
        "temperature_c",
        "How warm is the glaze? A hydrometer says nothing without it.",
    )
    _refuse_warmth(warmth)
    try:
        measured = measuring.by_hydrometer(hydrometer=told.hydrometer, as_read=as_read, temperature_c=warmth)
    except ValueError as error:
        raise _off_the_scale(as_read) from error
    kept = {"as_read": as_read, "modulus": told.hydrometer.modulus, "hydrometer": told.hydrometer}
    return _kept(Method.HYDROMETER, measured, **kept), "as_read"


def _by_unit(unit: str, told: Told) -> tuple[dict[str, Any], str]:
    as_read = _wanted(told.as_read, "as_read", "What does it say?")
    modulus = (told.modulus or Decimal(145)) if unit == Method.BAUME else None
    glass = told.glass if TOLD[unit].volume_ml else None
    if glass is not None and not measuring.holds_the_unit(unit, glass):
        raise Refused(
            f"{glass.name} holds {_ml(glass.volume_ml)}, and this is counted in "
            f"{_ml(TOLD[unit].volume_ml or 0)}. Weigh it as a known volume instead.",
            field="glass",
        )
    try:
        measured = measuring.told(
            unit=unit, as_read=as_read, modulus=modulus, glass=glass, scale=told.scale if glass else None
        )
    except ValueError as error:
        raise _off_the_scale(as_read) from error
    kept = {"as_read": as_read, "modulus": modulus, "glass": glass, "scale": told.scale if glass else None}
    return _kept(unit, measured, **kept), "as_read"


BY: dict[str, Callable[[Told], tuple[dict[str, Any], str]]] = {
    Method.TYPED: _typed,
    Method.WEIGHED: _weighed,
    Method.AGAINST_WATER: _against_water,
    Method.HYDROMETER: _by_hydrometer,
}


def _wanted(value: Decimal | None, field: str, question: str) -> Decimal:
    if value is None:
        raise Refused(question, field=field)
    return value


def _ml(volume: Decimal | float) -> str:
    return f"{words.number(volume, 1, least=0)}{words.GAP}mL"


def _off_the_scale(as_read: Decimal) -> Refused:
    return Refused(
        f"No such scale reads {words.number(as_read, 4, least=0)}. What does it say?", field="as_read"
    )


def _tare(told: Told) -> Decimal:
    glass, tare_g = told.glass, told.tare_g
    if glass is None:
        raise Refused("Which flask or cylinder was filled?", field="glass")
    if tare_g is None:
        tare_g = glass.empty_g
    if tare_g is None:
        raise Refused(f"What does {glass.name} weigh empty?", field="tare_g")
    if glass.empty_g and not told.tare_checked and abs(tare_g - glass.empty_g) > TARE_APART * glass.empty_g:
        raise Refused(
            f"{glass.name} weighs {words.grams(glass.empty_g)} empty; {words.grams(tare_g)} was typed. "
            "Another glass, or not clean and dry? If it is right, say so below.",
            field="tare_g",
        )
    return tare_g


def _refuse_other_glass(glass: Glass, water_g: Decimal) -> None:
    """The water says what the vessel holds; a tenth away from the glass named it is another one."""
    if abs(water_g - glass.volume_ml) > glass.volume_ml / 10:
        raise Refused(
            f"{words.grams(water_g)} of water are not what {glass.name} holds "
            f"({_ml(glass.volume_ml)}). Another glass, or a weight mistyped?",
            field="water_g",
        )


def _refuse_weight(scale: Scale | None, filled_g: Decimal, tare_g: Decimal, field: str) -> None:
    if filled_g <= tare_g:
        raise Refused(f"Filled must be more than empty ({words.grams(tare_g)}).", field=field)
    if scale is not None and filled_g > scale.capacity_g:
        raise Refused(f"{scale.name} weighs up to {words.grams(scale.capacity_g)}.", field=field)


def _refuse_warmth(temperature_c: Decimal | None) -> None:
    if temperature_c is not None and not 0 <= temperature_c <= 40:
        raise Refused("Between 0 and 40 °C water’s density is known. How warm is it?", field="temperature_c")
