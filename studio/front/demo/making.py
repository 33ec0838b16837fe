"""Five batches of the last weeks, from the request to the bucket, each by the acts of the room."""

from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import partial
from typing import Any

from django.utils import timezone

from batches.models import Batch, Request
from batches.operations import batches, weighing, wet
from batches.operations.requests import approve_request, ask_for_glaze
from buckets.labels import label_in_force
from buckets.operations import holding, pouring
from buckets.operations.readings import record_reading
from safety.gates import gate_of
from safety.operations.labels import apply_label
from safety.operations.sheets import acknowledge
from studio.front.demo.cast import Cast, Event, label_numbered, next_is, table
from studio.front.demo.room import CYLINDER, FINE
from studio.people import rights
from studio.room.measuring import uncertainty_of

Wish = Request.Wish
LET_THROUGH = "a sheet is asked for; until it is here: respirator, gloves, extraction on"


@dataclass(frozen=True, kw_only=True)
class Making:
    """One batch: who asked, weighed and looked after it, how it was measured, where it went.

    ``before``: litres and SG in the bucket that it brings up. ``water_l``: what went in after the powder.
    ``poured``: bucket, litres (None: as read), number of the fill and serial of its label.
    """

    number: int
    glaze: str
    day: str
    released: str
    asked_by: str
    weighed_by: str
    helped_by: str
    why: str
    wish: dict[str, Any]
    vessel: str = ""
    before: tuple[str, str] | None = None
    water_l: str
    mesh: int
    sg: str
    volume_l: str = ""
    depth_cm: str = ""
    poured: tuple[str, str | None, int, int | None] | None = None


MAKINGS = (
    Making(
        number=119,
        glaze="Linseed",
        day="2026-02-03",
        released="2026-02-05",
        asked_by="Bram",
        weighed_by="Yusuf",
        helped_by="Tamsin",
        why="B04 is empty",
        wish={"wish": Wish.DRY_BASE, "dry_g": Decimal(5000)},
        vessel="B04",
        water_l="0.65",
        mesh=80,
        sg="1.431",
        depth_cm="13.8",
        poured=("B04", None, 205, None),
    ),
    Making(
        number=126,
        glaze="Rockpool",
        day="2026-02-17",
        released="2026-02-20",
        asked_by="Ilse",
        weighed_by="Bram",
        helped_by="Tamsin",
        why="B05 is empty; the run of the last one is to be measured again",
        wish={"wish": Wish.DRY_BASE, "dry_g": Decimal(6000)},
        water_l="0.86",
        mesh=80,
        sg="1.421",
        volume_l="9.70",
        poured=("B05", "8.60", 211, 4168),
    ),
    Making(
        number=131,
        glaze="Linseed",
        day="2026-03-02",
        released="2026-03-03",
        asked_by="Ngozi",
        weighed_by="Yusuf",
        helped_by="Bram",
        why="3 L left, and thick",
        wish={"wish": Wish.BRING_TO, "litres": Decimal("14.087")},
        vessel="B04",
        before=("3.20", "1.470"),
        water_l="0.55",
        mesh=80,
        sg="1.437",
        depth_cm="23.3",
        poured=("B04", None, 218, 4151),
    ),
    Making(
        number=134,
        glaze="Oat Husk",
        day="2026-03-12",
        released="2026-03-13",
        asked_by="Tamsin",
        weighed_by="Bram",
        helped_by="Tamsin",
        why="B11 is low; what does not fit goes into the spare pail S-02",
        wish={"wish": Wish.BRING_TO, "litres": Decimal("16.240")},
        vessel="B11",
        before=("5.11", "1.482"),
        water_l="0.90",
        mesh=80,
        sg="1.473",
        volume_l="16.10",
        poured=("B11", "12.15", 219, 4270),
    ),
    Making(
        number=137,
        glaze="Plain Clear Six",
        day="2026-03-26",
        released="2026-03-30",
        asked_by="Bram",
        weighed_by="Tamsin",
        helped_by="Bram",
        why="a spare, sealed as S-03 in two pails",
        wish={"wish": Wish.DRY_BASE, "dry_g": Decimal(10000)},
        water_l="1.40",
        mesh=80,
        sg="1.401",
        volume_l="15.40",
    ),
)


def events(cast: Cast) -> Iterator[Event]:
    rows = table("batch_lines")
    for making in MAKINGS:
        lines = [row for row in rows if int(row["batch"]) == making.number]
        yield from _One(cast, making, lines).events()


class _One:
    """One batch on its way through the acts; the row is fetched anew for each."""

    def __init__(self, cast: Cast, making: Making, lines: list[dict[str, str]]) -> None:
        self.cast, self.making, self.lines = cast, making, lines
        self.day = date.fromisoformat(making.day)
        self.request: Request | None = None
        self.batch: Batch | None = None

    def events(self) -> Iterator[Event]:
        yield self._told(self.day - timedelta(days=2), "19:10", self._ask)
        yield self._told(self.day - timedelta(days=1), "17:30", self._approve)
        if self.making.before:
            yield self._told(self.day, "08:10", self._measure_before)
        yield self._told(self.day, "08:25", self._begin)
        yield self._told(self.day, "08:35", self._first_water)
        for number, line in enumerate(self.lines):
            part = any(line["material"] == later["material"] for later in self.lines[number + 1 :])
            yield self._told(self.day, "08:45", partial(self._weigh, line, part), 5 * number)
        yield self._told(self.day, "09:40", self._rest_of_the_water)
        yield self._told(self.day, "10:00", self._sieve)
        yield self._told(self.day, "10:15", self._measure)
        yield self._told(self.day, "10:30", self._pour if self.making.poured else self._put_by)
        yield self._told(date.fromisoformat(self.making.released), "17:00", self._release)

    def _told(self, day: date, clock: str, act: Callable[[datetime], Any], minutes: int = 0) -> Event:
        at = self.cast.at(day, clock, minutes)
        return at, partial(self._fresh, act, at)

    def _fresh(self, act: Callable[[datetime], Any], at: datetime) -> None:
        if self.batch is not None:
            self.batch = Batch.objects.select_related("version__recipe", "vessel").get(pk=self.batch.pk)
        act(at)

    # --- the acts

    def _ask(self, at: datetime) -> None:
        cast, making = self.cast, self.making
        before = making.before and {
            "old_volume_l": Decimal(making.before[0]),
            "old_sg": Decimal(making.before[1]),
        }
        self.request = ask_for_glaze(
            version=cast.recipe(making.glaze).current,
            vessel=cast.vessel(making.vessel) if making.vessel else None,
            why=making.why,
            by=cast.person(making.asked_by),
            at=at,
            **making.wish,
            **(before or {}),
        )

    def _approve(self, at: datetime) -> None:
        approver = "Tamsin" if self.making.asked_by != "Tamsin" else "Bram"
        next_is(f"batch {timezone.localtime(at).year}", self.making.number)
        self.batch = approve_request(request=self.request, by=self.cast.person(approver), at=at)

    def _measure_before(self, at: datetime) -> None:
        """What is left in the bucket, by a technician; level and gravity are said again at the beginning."""
        litres, sg = self.making.before or ("", "")
        fill = self.cast.fill(self.making.vessel)
        glass = self.cast.glass(CYLINDER)
        record_reading(
            fill=fill,
            gross_g=glass.empty_g + 100 * Decimal(sg),
            glass=glass,
            scale=self.cast.scale(FINE),
            volume_l=Decimal(litres),
            by=self._helper(),
            at=at,
        )

    def _begin(self, at: datetime) -> None:
        litres, sg = self.making.before or (None, None)
        pouring.begin_batch(
            batch=self.batch,
            volume_l=litres and Decimal(litres),
            sg=sg and Decimal(sg),
            by=self._weigher(),
            at=at,
        )

    def _first_water(self, at: datetime) -> None:
        wet.add_water(batch=self.batch, water_l=self.batch.first_water_l, by=self._helper(), at=at)

    def _weigh(self, row: dict[str, str], part: bool, at: datetime) -> None:
        """Who weighs may not be signed off for what is hazardous: then the other one does. Before that Bram
        lets through what has no current sheet.
        """
        line = self.batch.lines.select_related("material").get(name=row["material"])
        what = str(self.batch)
        gate = gate_of(line.material, what=what, today=timezone.localdate(at))
        if gate.stopped:
            acknowledge(
                material=line.material, what=what, reason=LET_THROUGH, by=self.cast.person("Bram"), at=at
            )
        hazardous = gate.hazardous and not self._weigher().holds(rights.HAZARDOUS)
        weighing.weigh_line(
            line=line,
            lot=self.cast.lot(row["lot"]),
            net_g=Decimal(row["weighed_g"]),
            part=part,
            by=self._helper() if hazardous else self._weigher(),
            at=at,
        )

    def _rest_of_the_water(self, at: datetime) -> None:
        wet.add_water(batch=self.batch, water_l=Decimal(self.making.water_l), by=self._helper(), at=at)

    def _sieve(self, at: datetime) -> None:
        wet.sieve_batch(batch=self.batch, mesh=self.making.mesh, by=self._helper(), at=at)

    def _measure(self, at: datetime) -> None:
        sg, making = Decimal(self.making.sg), self.making
        wet.record_batch_reading(
            batch=self.batch,
            sg=sg,
            u_sg=uncertainty_of(sg=sg, glass=self.cast.glass(CYLINDER), scale=self.cast.scale(FINE)),
            depth_cm=Decimal(making.depth_cm) if making.depth_cm else None,
            volume_l=Decimal(making.volume_l) if making.volume_l else None,
            by=self._helper(),
            at=at,
        )

    def _pour(self, at: datetime) -> None:
        code, litres, fill, _ = self.making.poured or ("", None, 0, 0)
        next_is("fill", fill)
        pouring.pour_batch(
            batch=self.batch,
            vessel=self.cast.vessel(code),
            volume_l=litres and Decimal(litres),
            by=self._helper(),
            at=at,
        )

    def _put_by(self, at: datetime) -> None:
        """Poured into no bucket of the shelf: kept as a spare."""
        batches.poured(batch=self.batch, by=self._helper(), at=at)

    def _release(self, at: datetime) -> None:
        if self.making.poured is None:
            batches.release_batch(batch=self.batch, by=self._helper(), at=at)
            return
        code, _, _, serial = self.making.poured
        release(self.cast, code, serial, at)

    def _helper(self) -> Any:
        return self.cast.person(self.making.helped_by)

    def _weigher(self) -> Any:
        return self.cast.person(self.making.weighed_by)


def release(cast: Cast, code: str, serial: int | None, at: datetime, *, applied: bool = True) -> None:
    """What is in a bucket goes into use; its label, with that serial if one is told, is scanned on it."""
    tamsin = cast.person("Tamsin")
    with label_numbered(serial) if serial else nullcontext():
        fill = holding.release_fill(fill=cast.fill(code), by=tamsin, at=at)
    label = label_in_force(fill)
    if applied and label is not None:
        apply_label(label=label, by=tamsin, at=at + timedelta(minutes=6))
