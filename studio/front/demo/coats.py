"""Clay bodies of the room, and the tile dipped in each glaze.

Tiles and wanted coats are those of the demo studio's description. Walls are those of a day in its room;
the porcelain's numbers are made up.
"""

from collections.abc import Iterator
from decimal import Decimal
from functools import partial

from buckets.operations.coating import record_tile
from studio.front.demo.cast import Cast, Event, table
from studio.room.models import Body
from studio.room.operations.bodies import add_body

BODIES_DAY, TILES_DAY = "2025-10-06", "2026-03-04"
BUFF = "Buff stoneware"
# name, bisque cone, absorption %, bulk density g/mL, drying g/cm2/h, usual wall mm
BODIES = (
    (BUFF, "06", "11", "1.90", "0.018", "5"),
    ("Speckled stoneware", "06", "11", "1.88", "0.020", "8"),
    ("Porcelain", "06", "13", "1.82", "0.015", "3"),
)


def events(cast: Cast) -> Iterator[Event]:
    for minutes, body in enumerate(BODIES):
        yield cast.at(BODIES_DAY, "15:00", minutes), partial(_body, cast, *body)
    glazes = {row["glaze"]: row for row in table("tiles")}
    for minutes, bucket in enumerate(table("buckets")):
        tile = glazes.get(bucket["glaze"])
        if tile is not None:
            at = cast.at(TILES_DAY, "14:00", 10 * minutes)
            yield at, partial(_tile, cast, bucket["bucket"], tile, 10 * minutes)


def _body(cast: Cast, name: str, cone: str, absorption: str, density: str, drying: str, wall: str) -> None:
    add_body(
        name=name,
        bisque_cone=cone,
        absorption_pct=Decimal(absorption),
        bulk_density=Decimal(density),
        drying_g_per_cm2_h=Decimal(drying),
        wall_mm=Decimal(wall),
        by=cast.person("Bram"),
        at=cast.at(BODIES_DAY, "15:00"),
    )


def _tile(cast: Cast, code: str, row: dict[str, str], minutes: int) -> None:
    record_tile(
        fill=cast.fill(code),
        seconds=Decimal(row["seconds"]),
        sg=Decimal(row["sg"]),
        coat_g_per_cm2=Decimal(row["coat"]),
        target_g_per_cm2=Decimal(row["target"]),
        body=Body.objects.get(name=BUFF),
        by=cast.person("Bram"),
        at=cast.at(TILES_DAY, "14:00", minutes),
    )
