"""Twelve recipes, written down by Bram and approved by Tamsin. Plausible, and never tested."""

from collections.abc import Iterator
from decimal import Decimal
from functools import partial

from studio.front.demo.cast import Cast, Event, table
from studio.recipes.models import Line
from studio.recipes.operations.recipes import TypedLine, add_recipe, approve_version

WRITTEN, APPROVED = "2025-10-13", "2025-10-15"


def events(cast: Cast) -> Iterator[Event]:
    lines = table("glaze_lines")
    for number, glaze in enumerate(table("glazes")):
        its = [line for line in lines if line["glaze"] == glaze["name"]]
        yield cast.at(WRITTEN, "13:00", 10 * number), partial(_write, cast, glaze, its, 10 * number)
        yield cast.at(APPROVED, "17:00", 5 * number), partial(_approve, cast, glaze["name"], 5 * number)


def _write(cast: Cast, glaze: dict[str, str], lines: list[dict[str, str]], minutes: int) -> None:
    add_recipe(
        name=glaze["name"],
        look=glaze["look"],
        cone=glaze["cone"],
        atmosphere=glaze["atmosphere"],
        colour=glaze["colour"],
        note=glaze["note"],
        settles_min=Decimal(glaze["settles_min"]),
        target_sg=Decimal(glaze["target_sg"]),
        half_window=Decimal(glaze["half_window"]),
        sieve_mesh=int(glaze["mesh"]),
        lines=[_line(cast, line) for line in lines],
        by=cast.person("Bram"),
        at=cast.at(WRITTEN, "13:00", minutes),
    )


def _line(cast: Cast, line: dict[str, str]) -> TypedLine:
    return TypedLine(
        kind=Line.Kind(line["kind"]),
        material=cast.material(line["material"]),
        typed_name=line["material"],
        parts=Decimal(line["parts"]),
        typed=line["parts"],
    )


def _approve(cast: Cast, name: str, minutes: int) -> None:
    draft = cast.recipe(name).versions.get()
    approve_version(version=draft, by=cast.person("Tamsin"), at=cast.at(APPROVED, "17:00", minutes))
