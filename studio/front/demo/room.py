"""Scales, glass and buckets of the glaze room."""

from collections.abc import Iterator
from decimal import Decimal
from functools import partial

from studio.front.demo.cast import Cast, Event, table
from studio.room.operations.instruments import add_glass, add_scale
from studio.room.operations.vessels import add_vessel

BULK, FINE = "Bulk scale", "Fine scale"
CYLINDER, FLASK = "Cylinder 100 mL", "Flask 250 mL"
SCALES = ((BULK, "1", "5000"), (FINE, "0.1", "600"))
# name, kind, mL, within mL, empty g: the empty weights are made up
GLASS = (
    (CYLINDER, "cylinder", "100", "0.50", "65.7"),
    (FLASK, "flask", "250", "1", "87.4"),
)
DAY = "2025-10-06"


def events(cast: Cast) -> Iterator[Event]:
    for name, division, capacity in SCALES:
        yield cast.at(DAY, "10:00"), partial(_scale, cast, name, division, capacity)
    for row in GLASS:
        yield cast.at(DAY, "10:20"), partial(_glass, cast, *row)
    for minutes, bucket in enumerate(table("buckets")):
        yield cast.at(DAY, "11:00", minutes * 4), partial(_vessel, cast, bucket, minutes * 4)


def _scale(cast: Cast, name: str, division: str, capacity: str) -> None:
    add_scale(
        name=name,
        division_g=Decimal(division),
        capacity_g=Decimal(capacity),
        by=cast.person("Bram"),
        at=cast.at(DAY, "10:00"),
    )


def _glass(cast: Cast, name: str, kind: str, volume: str, within: str, empty: str) -> None:
    add_glass(
        name=name,
        kind=kind,
        volume_ml=Decimal(volume),
        tolerance_ml=Decimal(within),
        empty_g=Decimal(empty),
        by=cast.person("Bram"),
        at=cast.at(DAY, "10:20"),
    )


def _vessel(cast: Cast, row: dict[str, str], minutes: int) -> None:
    add_vessel(
        code=row["bucket"],
        bottom_cm=Decimal(row["bottom_cm"]),
        top_cm=Decimal(row["top_cm"]),
        height_cm=Decimal(row["height_cm"]),
        empty_g=Decimal(row["empty_g"]),
        place=row["place"],
        by=cast.person("Bram"),
        at=cast.at(DAY, "11:00", minutes),
    )
