"""A batch and the bucket it goes into: begun with what is in there, abandoned, poured.

Holding, lifting and releasing a fill are in holding.py and can be had from here too.
"""

from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone

from batches import standing
from batches.models import Batch, Request, Step
from batches.operations import batches, weighing
from buckets import lineage
from buckets.calc.lineage import dry_shares
from buckets.densities import measured_density
from buckets.errors import AlreadyFull, OverTheBrim
from buckets.models import Fill, Parent, Reading
from buckets.operations.fills import end_fill
from buckets.operations.holding import (
    free_after,
    hold_fill,
    hold_for,
    lift_hold,
    refuse_held,
    refuse_other_fill,
    refuse_reports,
    release_fill,
)
from buckets.operations.labelling import label_fill
from buckets.operations.readings import counts_as_check
from buckets.operations.standing import restate, settles_at_first
from buckets.told import refuse_gravity, told_litres
from safety.operations.labels import void_labels
from studio.calc.slurry import dry_from_volume, mean_density
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded
from studio.room.models import Vessel

__all__ = [
    "abandon_in_bucket",
    "begin_batch",
    "hold_fill",
    "lift_hold",
    "pour_batch",
    "release_fill",
]


@act("batch begun", about="batch")
def begin_batch(
    *,
    batch: Batch,
    fill: Fill | None = None,
    depth_cm: Decimal | None = None,
    volume_l: Decimal | None = None,
    sg: Decimal | None = None,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Batch:
    """Begin weighing. A batch that brings a bucket up is restated for what is in it now, and holds it.

    ``depth_cm`` or ``volume_l`` and ``sg`` are measured again; ``fill`` is the one that was looked at.
    A batch for an empty bucket needs none of them.
    """
    there = open_fill(batch.vessel) if brings_up(batch) else None
    refuse_unless(by, rights.WEIGH)
    if fill is not None:
        refuse_other_fill(fill, there)
    told_l = None
    if there is not None:
        _refuse_unfit(there, batch)
        told_l = _level(there.vessel, depth_cm=depth_cm, volume_l=volume_l)
        if sg is None:
            raise Refused(f"What is the specific gravity in {there.vessel.code} now?", field="sg")
        refuse_gravity(sg, there.particle_density, field="sg")
    batch = weighing.start_weighing(
        batch=batch, old_volume_l=told_l, old_sg=sg if there is not None else None, by=by, at=at
    )
    if there is not None:
        hold_for(there, batch, at or timezone.now())
    return batch


@act("batch given up", about="batch")
def abandon_in_bucket(
    *,
    batch: Batch,
    reason: str,
    mixed: bool = False,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Batch:
    """Abandon a batch and let go of the bucket it was to bring up.

    ``mixed`` says that powder or water of it went into the glaze that was there: then the bucket stays
    held until a technician has decided.
    """
    there = open_fill(batch.vessel)
    batch = batches.abandon_batch(batch=batch, reason=reason, by=by, at=at)
    if there is not None:
        free_after(there, batch, mixed=mixed)
    return batch


@act("batch poured", about="batch")
def pour_batch(
    *,
    batch: Batch,
    vessel: Vessel,
    depth_cm: Decimal | None = None,
    volume_l: Decimal | None = None,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Fill:
    """The batch becomes what is in ``vessel``: a new fill, marked testing, with its parents and a label.

    The glaze that was brought up is emptied into it. Litres by ``depth_cm`` or ``volume_l``, else as the
    batch's last reading has them; that reading becomes the fill's first. Refused when the vessel holds
    another fill, when what was there is reported or held for another reason, or without a reading.
    """
    old, there = _fills_of(batch, vessel)
    refuse_unless(by, rights.MAKE)
    batch = batches.poured(batch=batch, by=by, at=at)
    _refuse_vessel(vessel, old, there)
    if old is not None:
        refuse_reports(old)
        refuse_held(old, but=batch)
    now = standing.standing(batch)
    if now.reading is None:
        raise Refused("Take a reading of the batch first: it becomes the bucket's first reading.")
    moment = at or timezone.now()
    level_l = _level_poured(vessel, now, depth_cm=depth_cm, volume_l=volume_l)
    if old is not None:
        void_labels(old, f"poured on as batch {batch.number}", moment)
        end_fill(old, why=f"brought up as batch {batch.number}", at=moment)
    dry_g = {"batch": now.weighed_g} | ({} if old is None else {"old": _dry_of_old_g(old, batch)})
    fill = _new_fill(batch, vessel, old, dry_g, moment)
    _parents(fill, batch, old, dry_g)
    _first_reading(fill, batch, now.reading, level_l, depth_cm, raw)
    void_labels(batch, f"poured into {vessel.code}", moment)
    label_fill(fill, by=by, at=at)
    return fill


# --- what a batch and a bucket have to do with each other


def brings_up(batch: Batch) -> bool:
    """Whether the batch was asked for to bring a bucket to an amount."""
    return batch.vessel_id is not None and batch.copy["wish"]["kind"] == Request.Wish.BRING_TO


def open_fill(vessel: Vessel | None) -> Fill | None:
    """What is in a vessel now, locked; None when it is empty."""
    if vessel is None:
        return None
    rows = Fill.objects.select_for_update(of=("self",)).select_related("vessel")
    return rows.filter(vessel=vessel, emptied_at=None).first()


def refuse_other_glaze(there: Fill, recipe_id: int, name: str) -> None:
    """Powder of one recipe does not go into another glaze; what is not on record is the asker's to know."""
    if there.recipe_id is not None and there.recipe_id != recipe_id:
        raise Refused(
            f"{there.vessel.code} holds {there.glaze}, not {name}. Two glazes in one bucket make a third: "
            "choose another bucket, or empty this one first.",
            field="vessel",
        )


# --- inside


def _refuse_unfit(there: Fill, batch: Batch) -> None:
    refuse_other_glaze(there, batch.version.recipe_id, batch.copy["name"])
    refuse_reports(there)
    refuse_held(there)


def _level(vessel: Vessel, *, depth_cm: Decimal | None, volume_l: Decimal | None) -> Decimal:
    told = told_litres(vessel, depth_cm=depth_cm, volume_l=volume_l)
    if told is None:
        raise Refused(f"How much is in {vessel.code} now? Give the depth or the litres.", field="depth_cm")
    return told


def _fills_of(batch: Batch, vessel: Vessel) -> tuple[Fill | None, Fill | None]:
    """The fill the batch brought up, and the one in the vessel it is poured into; locked by number."""
    of_batch = batch.vessel_id if batch.old_volume_l > 0 else None
    rows = Fill.objects.select_for_update(of=("self",)).select_related("vessel")
    found = {
        fill.vessel_id: fill
        for fill in rows.filter(vessel__in={vessel.pk, of_batch or vessel.pk}, emptied_at=None).order_by("pk")
    }
    return (found.get(of_batch) if of_batch else None), found.get(vessel.pk)


def _refuse_vessel(vessel: Vessel, old: Fill | None, there: Fill | None) -> None:
    if vessel.state != Vessel.State.IN_SERVICE:
        raise Refused(f"{vessel.code} is put away. Choose another bucket.", field="vessel")
    if there is not None and there != old:
        raise AlreadyFull(there)


def _level_poured(
    vessel: Vessel, now: standing.Standing, *, depth_cm: Decimal | None, volume_l: Decimal | None
) -> Decimal:
    told = told_litres(vessel, depth_cm=depth_cm, volume_l=volume_l)
    level_l = told if told is not None else now.reading_volume_l
    if level_l is None or level_l <= 0:
        raise Refused("How many litres are in it? Give the depth or the litres.", field="depth_cm")
    if level_l > rounded(vessel.brim_l(), 3):
        raise OverTheBrim(vessel, level_l, field="volume_l")
    return level_l


def _dry_of_old_g(old: Fill, batch: Batch) -> Decimal:
    """Dry grams in what the batch was told the bucket held."""
    if batch.old_sg is None or batch.old_sg <= 1:
        return Decimal(0)
    powder = old.particle_density or batch.particle_density
    dry = dry_from_volume(volume_l=float(batch.old_volume_l), sg=float(batch.old_sg), rho_s=float(powder))
    return rounded(1000 * dry, 3)


def _new_fill(
    batch: Batch, vessel: Vessel, old: Fill | None, dry_g: dict[str, Decimal], at: datetime
) -> Fill:
    copied = batch.copy
    settles = copied["settles_min"]
    said = None if settles is None else Decimal(settles)
    return Fill.objects.create(
        number=take_number("fill"),
        vessel=vessel,
        recipe_id=batch.version.recipe_id,
        version=batch.version,
        glaze=copied["name"],
        look=copied["look"],
        cone=copied["cone"],
        atmosphere=copied["atmosphere"],
        colour=copied["colour"],
        target_sg=batch.to_sg,
        half_window=batch.half_window,
        particle_density=_density(batch, old, dry_g),
        settles_min=settles_at_first(batch.version.recipe, at, said),
        soluble=copied["soluble"] or bool(old and old.soluble),
        contents=_contents(copied["lines"], old),
        history_unknown=bool(old and old.history_unknown),
        reclaim=bool(old and old.reclaim),
        tinted=bool(old and old.tinted),
        made_of=_made_of(batch, old, dry_g),
        poured_at=at,
    )


def _made_of(batch: Batch, old: Fill | None, dry_g: dict[str, Decimal]) -> list[dict[str, Any]]:
    parts = [(dry_g["batch"], [lineage.part(batch.version)])]
    return lineage.merged(parts if old is None else [*parts, (dry_g["old"], lineage.made_of(old))])


def _density(batch: Batch, old: Fill | None, dry_g: dict[str, Decimal]) -> Decimal:
    """Particle density of both together, weighted by dry mass."""
    powder = measured_density(batch.version) or batch.particle_density
    if old is None or old.particle_density is None:
        return powder
    mean = mean_density(
        masses=[float(dry_g["batch"]), float(dry_g["old"])],
        densities=[float(powder), float(old.particle_density)],
    )
    return rounded(mean, 3)


def _contents(lines: list[dict[str, str]], old: Fill | None) -> list[dict[str, str]]:
    """Every material of both with every hazard word known of it in either: the strictest is inherited."""
    merged: dict[str, list[str]] = {}
    found = [(line["name"], line["hazard_words"]) for line in lines]
    found += [(entry["material"], entry["words"]) for entry in (old.contents if old else [])]
    for material, words in found:
        known = merged.setdefault(material, [])
        known += [word for part in words.split(",") if (word := part.strip()) and word not in known]
    return [{"material": material, "words": ", ".join(words)} for material, words in merged.items()]


def _parents(fill: Fill, batch: Batch, old: Fill | None, dry_g: dict[str, Decimal]) -> None:
    shares = dry_shares(dry_g=dry_g)
    Parent.objects.create(
        fill=fill, batch=batch, version=batch.version, dry_g=dry_g["batch"], dry_share=shares["batch"]
    )
    if old is not None:
        Parent.objects.create(
            fill=fill, parent_fill=old, version=old.version, dry_g=dry_g["old"], dry_share=shares["old"]
        )


def _first_reading(
    fill: Fill, batch: Batch, step: Step, level_l: Decimal, depth_cm: Decimal | None, raw: str
) -> None:
    """The batch's last reading is the fill's first, by whoever took it, when it was taken."""
    Reading.objects.create(
        fill=fill,
        sg=step.sg,
        u_sg=step.u_sg,
        method=Reading.Method.TYPED if step.u_sg is None else Reading.Method.WEIGHED,
        depth_cm=depth_cm if depth_cm is not None else step.depth_cm,
        volume_l=level_l,
        is_check=step.by is not None and counts_as_check(step.by),
        note=f"from batch {batch.number}",
        raw=raw or step.raw,
        by=step.by,
        at=step.at,
    )
    restate(fill)
