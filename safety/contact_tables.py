"""What is loaded of leach limits and of elements to be careful with: dated rows with source and mark."""

import csv
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path

from safety.calc.careful import CarefulElement
from safety.calc.leach import ContactLimit, LimitSet

DATA = Path(__file__).parent / "data"


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA / f"{name}.csv").open(newline="", encoding="utf-8") as opened:
        return list(csv.DictReader(opened))


@cache
def limit_sets() -> dict[str, LimitSet]:
    """Every set of limits by its key, in the order of the file."""
    rows = _rows("leach_limits")
    return {said["key"]: _set(said, [row for row in rows if row["set"] == said["key"]]) for said in _sets()}


def _sets() -> list[dict[str, str]]:
    return _rows("leach_sets")


def _set(said: dict[str, str], rows: list[dict[str, str]]) -> LimitSet:
    limits: dict[str, tuple[ContactLimit, ...]] = {}
    for row in rows:
        limits[row["category"]] = (*limits.get(row["category"], ()), _limit(row))
    return LimitSet(
        key=said["key"],
        law=said["law"],
        title=said["title"],
        edition=said["edition"],
        methods=tuple(said["methods"].split(";")),
        hours=(Decimal(said["hours_low"]), Decimal(said["hours_high"])),
        temperature_c=(Decimal(said["temperature_low"]), Decimal(said["temperature_high"])),
        pieces=int(said["pieces"]),
        strict=said["at_limit"] == "over",
        until=date.fromisoformat(said["until"]) if said["until"] else None,
        status=said["status"],
        source=said["source"],
        limits=limits,
        words={row["category"]: row["words"] for row in rows},
    )


def _limit(row: dict[str, str]) -> ContactLimit:
    return ContactLimit(
        element=row["element"],
        value=Decimal(row["limit"]),
        unit=row["unit"],
        judged=row["judged"],  # type: ignore[arg-type]
        status=row["status"],
        source=row["source"],
    )


def limits_of_law(law: str) -> LimitSet:
    """The limits a studio under ``law`` (EU, US, UN) goes by."""
    return next(one for one in limit_sets().values() if one.law == law)


@cache
def careful_elements() -> tuple[CarefulElement, ...]:
    """Elements to be careful with, the gravest first."""
    return tuple(
        CarefulElement(
            symbol=row["symbol"],
            name=row["name"],
            why=row["why"],
            words=tuple(row["words"].split(";")),
            status=row["status"],
        )
        for row in _rows("careful_elements")
    )
