"""One bucket with 20 readings and the same one with 5 000, each in a small studio of its own."""

import random
import sqlite3
from contextlib import closing
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from statistics import median
from typing import Any

from tests.benches.serving import Block, Studio, database, manage

FEW, MANY = 20, 5000
MOST_OF_FEW = 1.3
YEARS = "0.2"  # long enough that the story of a bucket is full without the readings
CODE = "bench-code.txt"


def studios(kept_in: Path) -> dict[int, Path]:
    """The two folders, made when they are not there whole."""
    return {count: _studio(count, kept_in / f"readings-{count}") for count in (FEW, MANY)}


def _studio(count: int, folder: Path) -> Path:
    if _has(folder) != count:
        print(f"Making a studio in {folder} with a bucket of {count} readings.", flush=True)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        database(folder).unlink(missing_ok=True)
        manage(folder, "migrate", "--verbosity", "0")
        manage(folder, "history", YEARS, "--verbosity", "0")
        put_in = f"from tests.benches import readings; readings.fill_up({count}, {str(folder)!r})"
        manage(folder, "shell", "--verbosity", "0", "-c", put_in)
    manage(folder, "collectstatic", "--no-input", "--verbosity", "0")
    return folder


def _has(folder: Path) -> int:
    """Readings of the bucket that is measured; 0 when the studio is not whole."""
    if not (database(folder).exists() and (folder / CODE).exists()):
        return 0
    asked = (
        "SELECT count(*) FROM buckets_reading r JOIN buckets_fill f ON f.id = r.fill_id "
        "JOIN room_vessel v ON v.id = f.vessel_id WHERE v.code = ? AND f.emptied_at IS NULL"
    )
    with closing(sqlite3.connect(f"file:{database(folder)}?mode=ro", uri=True)) as rows:
        try:
            return rows.execute(asked, [(folder / CODE).read_text()]).fetchone()[0]
        except sqlite3.OperationalError:
            return 0


def fill_up(count: int, folder: str) -> None:
    """Runs in the studio: one bucket gets as many readings as are wanted, spread over its time."""
    from django.db import transaction
    from django.db.models import Count

    from buckets.models import Fill, Reading
    from buckets.operations.standing import locked, restate

    usual = Fill.objects.filter(state=Fill.State.IN_USE, held_at=None).exclude(recipe__current=None)
    counted = usual.annotate(read=Count("readings")).filter(read__gt=1, read__lte=FEW)
    fill = counted.order_by("-read", "vessel__code").select_related("vessel")[0]
    first = fill.readings.order_by("at")[0]
    began = first.at - timedelta(weeks=10)
    lacking = count - fill.readings.count()
    chance = random.Random(count)
    sg = fill.target_sg or Decimal("1.45")
    rows = [
        Reading(
            fill=fill,
            sg=sg + Decimal(chance.randint(-40, 40)) / 10_000,
            u_sg=Decimal("0.002"),
            method=Reading.Method.WEIGHED,
            is_check=True,
            by_id=first.by_id,
            at=began + n * (first.at - began) / (lacking + 1),
        )
        for n in range(1, lacking + 1)
    ]
    with transaction.atomic():
        Reading.objects.bulk_create(rows, batch_size=500)
        restate(locked(fill))
    (Path(folder) / CODE).write_text(fill.vessel.code)


def measured(
    served: dict[int, Studio], folders: dict[int, Path], rounds: int, requests: int
) -> dict[str, Any]:
    """Blocks of the page with few and with many, in turn; and what was seen of both."""
    addresses = {count: f"/shelf/{(folders[count] / CODE).read_text()}/" for count in folders}
    facts = {count: served[count].told(f"/bench/facts/?of={addresses[count]}") for count in folders}
    blocks: dict[int, list[Block]] = {count: [] for count in folders}
    for turn in range(rounds + 1):
        for count in sorted(folders, reverse=bool(turn % 2)):
            block = served[count].block(addresses[count], requests if turn else 3)
            blocks[count] += [block] if turn else []  # the first turn warms
    return {"facts": facts, "blocks": blocks}


def ratio_of(blocks: dict[int, list[Block]], of: str = "ms") -> list[float]:
    """Many over few, round by round."""
    return [getattr(many, of) / getattr(few, of) for many, few in zip(blocks[MANY], blocks[FEW], strict=True)]


def typical(blocks: list[Block]) -> float:
    return median(block.ms for block in blocks)
