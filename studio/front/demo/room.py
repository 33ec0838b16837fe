"""Who the studio is; scales, glass, the flow cup and buckets of its glaze room."""

from collections.abc import Iterator
from decimal import Decimal
from functools import partial

from studio.front.demo.cast import Cast, Event, table
from studio.room.operations.calibration import calibrate_glass
from studio.room.operations.details import change_details
from studio.room.operations.flow_cups import add_flow_cup
from studio.room.operations.instruments import add_glass, add_scale
from studio.room.operations.vessels import add_vessel

BULK, FINE = "Bulk scale", "Fine scale"
CYLINDER, FLASK, FLOW_CUP = "Cylinder 100 mL", "Flask 250 mL", "Flow cup 4 mm"
SCALES = ((BULK, "1", "5000"), (FINE, "0.1", "600"))
# name, kind, mL, within mL, empty g: the empty weights are made up
GLASS = (
    (CYLINDER, "cylinder", "100", "0.50", "65.7"),
    (FLASK, "flask", "250", "1", "87.4"),
)
# name, empty g, filled with water g, its warmth, how closely the mark was met mL: made up so that volume and
# tolerance come out as they are above
CALIBRATIONS = (
    (CYLINDER, "65.7", "165.5", "21.0", "0.479"),
    (FLASK, "87.4", "336.7", "24.4", "0.988"),
)
DAY, CALIBRATED = "2025-10-06", "2026-01-12"


# Invented, as the phones of the suppliers are: nobody answers there.
DETAILS = {
    "name": "Quillmere Clay Studio",
    "address": "Kiln Yard 4, Quillmere (invented)",
    "phone": "+00 555 0140",
    "emergency": "112; poison centre +00 555 0199 (invented)",
    "law": "EU",
}


def events(cast: Cast) -> Iterator[Event]:
    yield cast.at(DAY, "09:30"), partial(_details, cast)
    for name, division, capacity in SCALES:
        yield cast.at(DAY, "10:00"), partial(_scale, cast, name, division, capacity)
    for row in GLASS:
        yield cast.at(DAY, "10:20"), partial(_glass, cast, *row)
    yield cast.at(DAY, "10:30"), partial(_flow_cup, cast)
    for minutes, told in enumerate(CALIBRATIONS):
        yield cast.at(CALIBRATED, "10:00", 15 * minutes), partial(_calibrate, cast, *told, 15 * minutes)
    for minutes, bucket in enumerate(table("buckets")):
        yield cast.at(DAY, "11:00", minutes * 4), partial(_vessel, cast, bucket, minutes * 4)


def _details(cast: Cast) -> None:
    change_details(**DETAILS, by=cast.person("Odile"), at=cast.at(DAY, "09:30"))


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


def _flow_cup(cast: Cast) -> None:
    add_flow_cup(name=FLOW_CUP, standard="ISO2431-4", by=cast.person("Bram"), at=cast.at(DAY, "10:30"))


def _calibrate(cast: Cast, name: str, empty: str, full: str, warmth: str, within: str, minutes: int) -> None:
    calibrate_glass(
        glass=cast.glass(name),
        scale=cast.scale(FINE),
        empty_g=Decimal(empty),
        full_g=Decimal(full),
        temperature_c=Decimal(warmth),
        reading_ml=Decimal(within),
        by=cast.person("Bram"),
        at=cast.at(CALIBRATED, "10:00", minutes),
    )
    cast.glass.cache_clear()  # readings are made with the glass as it is from now on


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
