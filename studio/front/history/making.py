"""Batches in bulk: asked for, approved, weighed pot by pot, measured and poured."""

from datetime import datetime, timedelta
from typing import Any

from batches.models import Batch, Line, Request, Step, Weighing
from batches.operations.requests import FIRST_NUMBER
from studio.front.history.cycle import OLD_L, Cycle, PotLine, whole
from studio.front.history.sheets import Sheet, moment
from studio.front.history.stock import Stock
from studio.materials.models import Reservation
from studio.people.models import Counter, Member

POTS = (5, 6)  # in turn; so that ten years make a million lines of the ledger
DIVISION_MG = 100
DAY, HOUR, MINUTE = timedelta(days=1), timedelta(hours=1), timedelta(minutes=1)


class Making:
    """Writes whole batches; ``make`` is one of them, poured at ``at``."""

    def __init__(self, stock: Stock, technicians: list[Member], members: list[Member]) -> None:
        self.stock = stock
        self.technicians = [person.pk for person in technicians]
        self.members = [person.pk for person in members]
        self.requests = Sheet(
            Request,
            "id number version_id wish typed dry_g base_g water_l to_volume_l to_sg vessel_id old_volume_l "
            "old_sg state by_id at decided_by_id decided_at",
        )
        self.batches = Sheet(
            Batch,
            "id number request_id version_id copy vessel_id state made_at frozen_at base_g dry_g water_l "
            "first_water_l hold_back_pct to_volume_l to_sg half_window particle_density old_volume_l old_sg "
            "closed_at",
        )
        self.lines = Sheet(
            Line,
            "id batch_id position kind material_id name hazard_words parts share_pct target_g band_g "
            "scale_id loads weighed_g done_at",
        )
        self.weighings = Sheet(Weighing, "id line_id lot_id net_g scale_id movement_id by_id at entered_at")
        self.promises = Sheet(Reservation, "id material_id mass_g what line by_id at entered_at")
        self.steps = Sheet(Step, "id batch_id kind water_l mesh volume_l sg u_sg by_id at entered_at")
        self.of_year: dict[int, int] = {}

    def make(self, cycle: Cycle, vessel: int, at: datetime, chance: int, reading: tuple[int, int]) -> int:
        """The key of a batch poured at ``at`` and released; ``reading``: SG and its u of its last step."""
        batch, by = self.batches.number(), self.technicians[chance % len(self.technicians)]
        self.of_year[at.year] = self.of_year.get(at.year, 0) + 1
        number = f"{at.year % 100:02d}-{self.of_year[at.year]:03d}"
        self._plan(cycle, vessel, at, by, batch, number, chance)
        began = at - 2 * HOUR
        water, first = whole(cycle.plan.water_l, 3), whole(cycle.plan.first_water_l, 3)
        self._step(batch, "water", by, began, water=first)
        for n, line in enumerate(cycle.lines):
            self._weigh(line, batch, number, by, began + (3 * n + 1) * MINUTE, chance + n)
        self._step(batch, "water", by, at - 40 * MINUTE, water=water - first)
        self._step(batch, "sieved", by, at - 30 * MINUTE, mesh=cycle.version.sieve_mesh)
        sg, u = reading
        volume = whole(cycle.plan.to_volume_l, 3)
        self._step(batch, "reading", by, at - 10 * MINUTE, volume=volume, sg=sg, u=u)
        return batch

    def _plan(
        self, cycle: Cycle, vessel: int, at: datetime, by: int, batch: int, number: str, chance: int
    ) -> None:
        plan, version = cycle.plan, cycle.version
        asked, approved, began = moment(at - 2 * DAY), moment(at - DAY), moment(at - 2 * HOUR)
        told = (whole(plan.to_volume_l, 3), whole(plan.to_sg, 4))
        old = (whole(OLD_L, 3), whole(version.target_sg, 4))
        dry, base, water = whole(plan.dry_g, 3), whole(plan.base_g, 3), whole(plan.water_l, 3)
        request = self.requests.number()
        self.requests.add(
            request,
            FIRST_NUMBER - 1 + request,
            version.pk,
            Request.Wish.BRING_TO,
            cycle.typed,
            dry,
            base,
            water,
            *told,
            vessel,
            *old,
            Request.State.MADE,
            self.members[chance % len(self.members)],
            asked,
            by,
            approved,
        )
        self.batches.add(
            batch,
            number,
            request,
            version.pk,
            cycle.copy,
            vessel,
            Batch.State.RELEASED,
            approved,
            began,
            base,
            dry,
            water,
            whole(plan.first_water_l, 3),
            whole(plan.hold_back_pct, 1),
            *told,
            whole(version.half_window, 4),
            whole(version.particle_density, 3),
            *old,
            moment(at + HOUR),
        )
        for line in cycle.lines:
            self._promise(line, line.target, number, by, approved)

    def _promise(self, line: PotLine, mg: int, number: str, by: int, at: Any) -> None:
        pk, what = self.promises.number(), f"batch {number}"
        self.promises.add(pk, line.material, mg, what, str(line.position), by, at, at)

    def _weigh(self, line: PotLine, batch: int, number: str, by: int, at: datetime, chance: int) -> None:
        """Pot after pot, together inside the band; the promise goes when the line is done."""
        when, row = moment(at), self.lines.number()
        off = (chance * 7919 % (2 * line.band // DIVISION_MG + 1)) * DIVISION_MG - line.band
        total, pots = line.target + off // 2 // DIVISION_MG * DIVISION_MG, POTS[chance % len(POTS)]
        each = total // pots // DIVISION_MG * DIVISION_MG
        what = f"batch {number}, line {line.position}"
        for net in (*(each,) * (pots - 1), total - each * (pots - 1)):
            movement, lot = self.stock.take(line.material, net, what, by, when, at.date())
            self.weighings.add(self.weighings.number(), row, lot, net, line.scale, movement, by, when, when)
        self.lines.add(
            row,
            batch,
            line.position,
            line.kind,
            line.material,
            line.name,
            line.words,
            line.parts,
            line.share_pct,
            line.target,
            line.band,
            line.scale,
            line.loads,
            total,
            when,
        )
        self._promise(line, -line.target, number, by, when)

    def _step(
        self,
        batch: int,
        kind: str,
        by: int,
        at: datetime,
        *,
        water: int | None = None,
        mesh: int | None = None,
        volume: int | None = None,
        sg: int | None = None,
        u: int | None = None,
    ) -> None:
        when = moment(at)
        self.steps.add(self.steps.number(), batch, kind, water, mesh, volume, sg, u, by, when, when)

    def close(self) -> None:
        for sheet in self.sheets():
            sheet.write()
        counters = {f"batch {year}": count for year, count in self.of_year.items()}
        counters["request"] = self.requests.next - 1
        for name, last in counters.items():
            Counter.objects.update_or_create(name=name, defaults={"last": last})

    def sheets(self) -> list[Sheet]:
        return [self.requests, self.batches, self.lines, self.weighings, self.promises, self.steps]
