"""A fill goes on as another one: two put together, one parted, a bucket carried somewhere else."""

from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from buckets import lineage
from buckets.calc.changes import Change
from buckets.errors import FillEmptied
from buckets.lasting import TWO_BUCKETS
from buckets.lineage import Blend
from buckets.models import Care, Fill, Parent, Reading
from buckets.operations.changing import done
from buckets.operations.fills import end_fill
from buckets.operations.labelling import label_fill
from buckets.operations.standing import moment, opened
from safety.operations.labels import void_labels
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room.models import Vessel
from studio.room.operations.vessels import move_vessel

OF_PARENT = (
    "recipe", "version", "glaze", "look", "cone", "atmosphere", "colour", "target_sg", "half_window",
    "particle_density", "settles_min", "soluble", "contents", "history_unknown", "reclaim", "tinted",
    "tile_due", "released_at", "state",
)  # fmt: skip
OF_READING = (
    "sg", "u_sg", "method", "gross_g", "tare_g", "glass", "scale", "as_read", "modulus", "water_g",
    "hydrometer", "temperature_c", "is_check", "raw", "by", "at",
)  # fmt: skip


@act("mixed from two buckets", about="fill")
def blend_fill(
    *,
    fill: Fill,
    spare: Fill,
    volume_l: Decimal,
    stirred: bool = False,
    another_glaze: bool = False,
    glaze: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Fill:
    """Litres of stirred ``spare`` go into the bucket of ``fill``: a new fill there with both as parents.

    ``stirred`` says that both were stirred to the floor. ``another_glaze`` says that two recipes may
    become a third, called ``glaze``. The old fill ends; the spare one loses its litres and ends when
    nothing is left. The SG to be expected is kept as a prediction; nothing counts until it is measured.
    """
    fill, spare = _both(fill, spare)
    refuse_unless(by, rights.MAKE)
    _refuse_unstirred(stirred)
    when = _moment_of(fill, spare, at)
    after = lineage.blend(fill, spare, volume_l, when, another_glaze=another_glaze, name=glaze)
    came_from = spare.vessel.code
    _take_out(spare, volume_l, after.moved_g, when, by, into=fill.vessel.code)
    void_labels(fill, f"mixed with {spare.glaze} from {came_from}"[:120], when)
    end_fill(fill, why=f"mixed with {spare.glaze} from {came_from}"[:200], at=when)
    new = _new_of_two(fill, spare, after, when)
    done(
        new,
        Care.Kind.TOPPED_UP,
        by=by,
        at=when,
        change=Change(litres=float(after.volume_l), grams=float(after.slurry_g)),
        volume_l=volume_l,
        how=TWO_BUCKETS,
        note=f"from {came_from}; by volume the SG should be {after.sg:.3f}",
        raw=raw,
    )
    _print(new, by, at)
    return new


@act("split", about="fill")
def split_fill(
    *,
    fill: Fill,
    vessel: Vessel,
    volume_l: Decimal,
    stirred: bool = False,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Fill:
    """Litres of a stirred fill go into an empty vessel: a second fill of the same glaze, with a label.

    It inherits what the first one is, its state, and the readings that count, at their own times. All of
    it moved: the first fill ends.
    """
    fill = opened(fill)
    refuse_unless(by, rights.MAKE)
    _refuse_unstirred(stirred)
    vessel = Vessel.objects.select_for_update().get(pk=vessel.pk)
    when = moment(fill, at)
    after = lineage.parting(fill, vessel, volume_l, when)
    new = Fill.objects.create(
        number=take_number("fill"),
        vessel=vessel,
        poured_at=when,
        made_of=after.made_of,
        **{name: getattr(fill, name) for name in OF_PARENT},
    )
    Parent.objects.create(
        fill=new, parent_fill=fill, version=fill.version, dry_g=after.dry_g, dry_share=Decimal(1)
    )
    for reading in after.readings:
        _inherit(new, reading, fill)
    done(
        new,
        Care.Kind.SPLIT,
        by=by,
        at=when,
        change=Change(litres=float(volume_l), grams=float(after.moved_g or 0)),
        volume_l=volume_l,
        note=f"out of {fill.vessel.code}",
        raw=raw,
    )
    _take_out(fill, volume_l, after.moved_g, when, by, into=vessel.code)
    _print(new, by, at)
    return new


@act("bucket moved", about="fill")
def move_bucket(
    *, fill: Fill, place: str, raw: str = "", by: Member, key: UUID | None = None, at: datetime | None = None
) -> Care:
    """The bucket stands somewhere else. What is in it, its label and its QR stay the same."""
    fill = opened(fill)
    refuse_unless(by, rights.ROOM)
    there, place = fill.vessel.place, place.strip()
    if not place:
        raise Refused("Where does it stand now?", field="place")
    if place == there:
        raise Refused(f"{fill.vessel.code} stands at {place} already, on record.", field="place")
    when = moment(fill, at)
    move_vessel(vessel=fill.vessel, place=place, by=by, at=at)
    fill.vessel.place = place
    note = f"from {there} to {place}" if there else f"to {place}"
    return done(fill, Care.Kind.MOVED, by=by, at=when, note=note, raw=raw)


# --- inside


def _both(fill: Fill, spare: Fill) -> tuple[Fill, Fill]:
    """Both fills as they are now, locked in the order of their numbers in the database."""
    rows = Fill.objects.select_for_update(of=("self",)).select_related("vessel")
    found = {row.pk: row for row in rows.filter(pk__in={fill.pk, spare.pk}).order_by("pk")}
    for row in found.values():
        if row.emptied_at:
            raise FillEmptied(row)
    return found[fill.pk], found[spare.pk]


def _moment_of(fill: Fill, spare: Fill, at: datetime | None) -> datetime:
    return max(moment(fill, at), moment(spare, at))


def _refuse_unstirred(stirred: bool) -> None:
    if not stirred:
        raise Refused(
            "Stir to the floor first, or one bucket gets the water and the other the powder. "
            "Then say so below.",
            field="stirred",
        )


def _take_out(
    fill: Fill, volume_l: Decimal, grams: Decimal | None, at: datetime, by: Member, *, into: str
) -> None:
    """A stirred fill loses litres to another bucket, and ends when nothing is left."""
    done(fill, Care.Kind.STIRRED, by=by, at=at, note=f"before some went into {into}")
    done(
        fill,
        Care.Kind.SPLIT,
        by=by,
        at=at,
        change=Change(litres=-float(volume_l), grams=-float(grams or 0)),
        volume_l=volume_l,
        note=f"into {into}",
    )
    if fill.volume_l <= 0:
        void_labels(fill, f"all of it went into {into}", at)
        end_fill(fill, why=f"all of it went into {into}", at=at)


def _new_of_two(fill: Fill, spare: Fill, after: Blend, at: datetime) -> Fill:
    new = Fill.objects.create(
        number=take_number("fill"),
        vessel=fill.vessel,
        poured_at=at,
        glaze=after.glaze,
        state=after.state,
        contents=after.contents,
        particle_density=after.particle_density,
        made_of=after.made_of,
        predicted_sg=after.sg,
        released_at=None if after.state == Fill.State.TESTING else at,
        **_said_of_it(fill, spare, after),
        **_worst_of(fill, spare),
    )
    for name, parent in (("fill", fill), ("spare", spare)):
        Parent.objects.create(
            fill=new,
            parent_fill=parent,
            version=parent.version,
            dry_g=after.dry_g[name],
            dry_share=after.shares[name],
        )
    return new


def _said_of_it(fill: Fill, spare: Fill, after: Blend) -> dict[str, Any]:
    """Recipe, firing and window: those of the one that is most of it. A third glaze has none of its own."""
    if not after.same_glaze:
        both = {name: {getattr(one, name) for one in (fill, spare)} for name in ("cone", "atmosphere")}
        return {"colour": fill.colour} | {name: said.pop() for name, said in both.items() if len(said) == 1}
    names = ("recipe", "version", "look", "cone", "atmosphere", "colour", "target_sg", "half_window")
    return {name: getattr(after.leader, name) for name in names}


def _worst_of(*fills: Fill) -> dict[str, Any]:
    """What is inherited from either, the more careful of both."""
    settles = [fill.settles_min for fill in fills if fill.settles_min is not None]
    flags = ("soluble", "history_unknown", "reclaim", "tinted", "tile_due")
    return {
        "settles_min": min(settles, default=None),
        **{name: any(getattr(fill, name) for fill in fills) for name in flags},
    }


def _inherit(new: Fill, reading: Reading, parent: Fill) -> None:
    """The same slurry: a reading of it that counts counts for both, with its own time and by its own hand."""
    Reading.objects.create(
        fill=new,
        note=f"from the bucket before, {parent.vessel.code} (fill {parent.number})",
        **{name: getattr(reading, name) for name in OF_READING},
    )


def _print(fill: Fill, by: Member, at: datetime | None) -> None:
    label_fill(fill, by=by, at=at)
