"""Fills in bulk: measured, stirred, watered and used from, some of them brought up again and again."""

import uuid
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil
from typing import Any

from django.db import connection

from batches.models import Batch
from buckets.models import Care, Fill, Parent, Reading, Use
from safety.models import Label
from studio.front.history.cycle import Cycle, whole
from studio.front.history.making import HOUR, MINUTE, Making
from studio.front.history.sheets import Sheet, moment
from studio.people.models import Counter, Entry
from studio.room.models import Vessel

U_SG = 430  # hundred-thousandths: the 100 mL cylinder on the fine scale
LAST_OFF = (30, 0, -60, 300, 160)  # SG less target at the end, ten-thousandths: all four verdicts are there
EVERY_CORRECTED, EVERY_WATERED, EVERY_MEMBER = 97, 10, 4
START_ML, EACH_ML = 14_000, 180
POURED_AFTER = 3  # readings


def noise(*whats: int) -> int:
    """A number that looks like chance and is always the same: multiply and fold."""
    mixed = 0x9E3779B97F4A7C15
    for what in whats:
        mixed = (mixed ^ (what + 0x7F4A7C15)) * 0xBF58476D1CE4E5B9 & 0xFFFFFFFFFFFFFFFF
        mixed ^= mixed >> 29
    return mixed >> 8


@dataclass(slots=True)
class Now:
    """A fill and what it carries as it stands, in the units of its columns."""

    pk: int
    number: int
    vessel: Vessel
    cycle: Cycle
    poured: Any
    label: int
    level: int
    water: int = 0
    used: int = 0
    check: int | None = None
    member: int | None = None
    stirred: Any = None
    stirred_by: int | None = None

    @property
    def litres(self) -> int:
        return max(self.level + self.water - self.used, 0)


class Shelf:
    """Writes the fills of every vessel; ``step`` is one round at one bucket."""

    def __init__(self, making: Making) -> None:
        self.making = making
        self.fills = Sheet(
            Fill,
            "id number vessel_id recipe_id version_id glaze look cone atmosphere colour target_sg "
            "half_window particle_density settles_min soluble contents history_unknown poured_at state "
            "emptied_at emptied_why volume_l check_reading_id member_reading_id stirred_at stirred_by_id",
        )
        self.parents = Sheet(Parent, "id fill_id batch_id parent_fill_id version_id dry_g dry_share")
        self.readings = Sheet(
            Reading, "id fill_id sg u_sg method volume_l is_check note replaces_id by_id at entered_at"
        )
        self.care = Sheet(Care, "id fill_id kind volume_l by_id at entered_at")
        self.uses = Sheet(Use, "id fill_id volume_l pieces by_id at entered_at")
        self.labels = Sheet(
            Label,
            "id serial purpose on_kind on_id vessel_code content state printed_at printed_by_id applied_at "
            "void_at void_reason",
        )
        self.entries = Sheet(
            Entry, "id key act digest about_kind about_id result_kind result_id by_id at entered_at"
        )
        self.open: dict[int, Now] = {}

    def find(self, vessel: Vessel, cycle: Cycle, at: datetime) -> None:
        """The first fill of a vessel: found, so its history is unknown, and that of all that follow."""
        now = self._new(vessel, cycle, at)
        self.parents.add(
            self.parents.number(), now.pk, None, None, cycle.version.pk, cycle.old_dry, 1_000_000
        )

    def step(self, vessel: Vessel, k: int, at: datetime, *, pours: bool) -> None:
        """The ``k``th round from the last: used, stirred, measured, perhaps watered or brought up."""
        number = int(vessel.code.lstrip("B"))  # its key in the database may be another each time
        now, chance = self.open[vessel.pk], noise(number, k)
        by = self.making.technicians[chance % 2]
        member = self.making.members[chance % len(self.making.members)]
        self._use(now, member, at - 5 * HOUR, chance)
        self._stir(now, by, at - 3 * MINUTE)
        checked = k % EVERY_MEMBER != 1
        off = LAST_OFF[number % len(LAST_OFF)] if k < EVERY_MEMBER else chance % 241 - 120
        sg = whole(now.cycle.version.target_sg, 4) + off
        self._read(now, sg, by if checked else member, at, checked=checked, corrects=k % EVERY_CORRECTED == 5)
        if k % EVERY_WATERED == 7:
            self._water(now, by, at + 2 * MINUTE)
        if pours and k % POURED_AFTER == POURED_AFTER - 1:
            self._pour(now, at + 3 * HOUR, chance, by)

    # --- one row or two

    def _use(self, now: Now, by: int, at: datetime, chance: int) -> None:
        when, ml = moment(at), EACH_ML + chance % 90
        self.uses.add(self.uses.number(), now.pk, ml, 1 + chance % 5, by, when, when)
        now.used += ml

    def _stir(self, now: Now, by: int, at: datetime) -> None:
        when = moment(at)
        self.care.add(self.care.number(), now.pk, "stirred", None, by, when, when)
        now.stirred, now.stirred_by = when, by

    def _water(self, now: Now, by: int, at: datetime) -> None:
        when, ml = moment(at), 100
        self.care.add(self.care.number(), now.pk, "water in", ml, by, when, when)
        now.water += ml

    def _read(self, now: Now, sg: int, by: int, at: datetime, *, checked: bool, corrects: bool) -> None:
        level = max(now.litres, START_ML // 2)  # glaze comes back from cleaned tools, never to the floor
        replaced = None
        if corrects:
            replaced = self._reading(now, sg + 900, by, at - MINUTE, level, checked, "", None)
        pk = self._reading(now, sg, by, at, level, checked, "read again" if corrects else "", replaced)
        now.level, now.water, now.used = level, 0, 0
        if checked:
            now.check = pk
        else:
            now.member = pk
        self._journal("reading recorded", now.pk, "buckets.reading", pk, by, at)

    def _reading(
        self, now: Now, sg: int, by: int, at: datetime, level: int, checked: bool, note: str, of: int | None
    ) -> int:
        pk, when = self.readings.number(), moment(at)
        self.readings.add(pk, now.pk, sg, U_SG, "typed", level, checked, note, of, by, when, when)
        return pk

    def _journal(self, act: str, fill: int, kind: str, pk: int, by: int, at: datetime) -> None:
        number, when = self.entries.number(), moment(at)
        key = uuid.UUID(int=number + (1 << 64))
        stored = key if connection.features.has_native_uuid_field else key.hex
        self.entries.add(number, stored, act, "0" * 64, "buckets.fill", fill, kind, pk, by, when, when)

    # --- poured

    def _pour(self, old: Now, at: datetime, chance: int, by: int) -> None:
        """Brought up by a batch: the old fill ends and is a parent of the new one."""
        cycle = old.cycle
        sg = whole(cycle.version.target_sg, 4) + chance % 61 - 30
        batch = self.making.make(cycle, old.vessel.pk, at, chance, (sg, U_SG))
        new = self._new(old.vessel, cycle, at)
        self._end(old, moment(at), "brought up")
        new.level = whole(cycle.plan.to_volume_l, 3)
        made_of, version = whole(cycle.plan.dry_g, 3), cycle.version.pk
        self.parents.add(self.parents.number(), new.pk, batch, None, version, made_of, cycle.batch_share)
        self.parents.add(self.parents.number(), new.pk, None, old.pk, version, cycle.old_dry, cycle.old_share)
        new.check = self._reading(new, sg, by, at - 10 * MINUTE, new.level, True, "from its batch", None)
        self._working_label(batch, old.vessel.code, by, at)
        self._journal("batch poured", new.pk, "buckets.fill", new.pk, by, at)

    def _new(self, vessel: Vessel, cycle: Cycle, at: datetime) -> Now:
        pk = self.fills.number()
        now = Now(pk, pk, vessel, cycle, moment(at), self.labels.number(), START_ML)
        self.open[vessel.pk] = now
        return now

    def _working_label(self, batch: int, code: str, by: int, at: datetime) -> None:
        pk, when, void = self.labels.number(), moment(at - 2 * HOUR), moment(at)
        kind, reason = Batch._meta.label_lower, f"poured into {code}"
        self.labels.add(
            pk, f"Q{pk:04d}", "working", kind, batch, code, "{}", "void", when, by, None, void, reason
        )

    def _end(self, now: Now, emptied: Any, why: str) -> None:
        """Write a fill with what it carries at the end, and its label."""
        version, recipe = now.cycle.version, now.cycle.version.recipe
        state = Fill.State.EMPTIED if emptied else Fill.State.IN_USE
        settles = None if recipe.settles_min is None else whole(recipe.settles_min, 1)
        self.fills.add(
            now.pk,
            now.number,
            now.vessel.pk,
            recipe.pk,
            version.pk,
            recipe.name,
            recipe.look,
            recipe.cone,
            recipe.atmosphere,
            recipe.colour,
            whole(version.target_sg, 4),
            whole(version.half_window, 4),
            whole(version.particle_density, 3),
            settles,
            version.soluble,
            now.cycle.contents,
            True,
            now.poured,
            state,
            emptied,
            why,
            now.litres,
            now.check,
            now.member,
            now.stirred,
            now.stirred_by,
        )
        by, code = self.making.technicians[0], now.vessel.code
        label = "void" if emptied else "applied"
        reason = f"{code} was emptied" if emptied else ""
        self.labels.add(
            now.label,
            f"Q{now.label:04d}",
            "bucket",
            Fill._meta.label_lower,
            now.pk,
            code,
            "{}",
            label,
            now.poured,
            by,
            now.poured,
            emptied,
            reason,
        )

    def close(self) -> None:
        for now in self.open.values():
            self._end(now, None, "")
        for sheet in self.sheets():
            sheet.write()
        for name, last in (("fill", self.fills.next - 1), ("label", self.labels.next - 1)):
            Counter.objects.update_or_create(name=name, defaults={"last": last})

    def sheets(self) -> list[Sheet]:
        return [self.fills, self.parents, self.readings, self.care, self.uses, self.labels, self.entries]


def rounds(total: int, vessels: int, pouring: int) -> int:
    """Rounds at each vessel so that ``total`` readings come of them; a pouring takes one of its own."""
    per_round = vessels + pouring / POURED_AFTER
    return max(ceil(total / per_round), POURED_AFTER + 1)


def spacing(years: float, count: int) -> timedelta:
    """From one round to the next."""
    return timedelta(days=365.25 * years) / count
