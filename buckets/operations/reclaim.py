"""The reclaim bucket: what came together from sieves, sinks and bucket ends. Never for food surfaces."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from buckets.calc.changes import Change, of_slurry
from buckets.contents import merged
from buckets.errors import AlreadyFull
from buckets.models import Care, Fill, Parent, Reading
from buckets.operations.changing import done, refuse_no_room
from buckets.operations.standing import AHEAD, litres, opened, restate
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room.models import Vessel

RECLAIM = "reclaim"  # how it was topped up
NAME = "Reclaim"


@act("reclaim begun")
def begin_reclaim(
    *,
    vessel: Vessel,
    glaze: str = "",
    volume_l: Decimal | None = None,
    depth_cm: Decimal | None = None,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Fill:
    """An empty vessel becomes the reclaim bucket; litres (0 or more) or the depth say what is in it now.

    Its history is unknown and it is in testing: a glaze made of it is a new one, with a tile of its own.
    """
    vessel = Vessel.objects.select_for_update().get(pk=vessel.pk)
    refuse_unless(by, rights.MAKE)
    _refuse_vessel(vessel)
    if at is not None and at > timezone.now() + AHEAD:
        raise Refused("This time is still to come. When was it begun?", field="at")
    level_l = litres(vessel, volume_l=volume_l, depth_cm=depth_cm) or Decimal(0)
    if level_l < 0:
        raise Refused("A bucket can't hold less than 0 L.", field="volume_l")
    began = at or timezone.now()
    fill = Fill.objects.create(
        number=take_number("fill"),
        vessel=vessel,
        glaze=glaze.strip() or NAME,
        reclaim=True,
        history_unknown=True,
        poured_at=began,
    )
    Parent.objects.create(fill=fill, dry_share=Decimal(1))
    Reading.objects.create(
        fill=fill,
        method=Reading.Method.TYPED,
        depth_cm=depth_cm,
        volume_l=level_l,
        is_check=True,
        note=note.strip() or "as begun",
        raw=raw,
        by=by,
        at=began,
    )
    restate(fill)
    return fill


def _refuse_vessel(vessel: Vessel) -> None:
    if vessel.state != Vessel.State.IN_SERVICE:
        raise Refused(f"{vessel.code} is put away. Bring it back into service first.", field="vessel")
    there = Fill.objects.select_related("vessel").filter(vessel=vessel, emptied_at=None).first()
    if there:
        raise AlreadyFull(there)


@act("poured into reclaim", about="fill")
def pour_into_reclaim(
    *,
    fill: Fill,
    volume_l: Decimal,
    source: str,
    sg: Decimal | None = None,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Care:
    """Slurry into the reclaim bucket: litres above 0, and in words where from (a bucket, a trap, the sink).

    ``sg`` of what was poured, when it is known. Refused for a bucket that is not reclaim: glaze is
    brought up with a batch or another bucket, so that its history stays known.
    """
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    if not fill.reclaim:
        raise Refused(f"{fill.vessel.code} is no reclaim bucket: {fill.glaze} is in it.")
    if not source.strip():
        raise Refused("Where is it from? A bucket, the sieve, the trap, the sink.", field="source")
    return into_reclaim(fill, volume_l, source.strip(), sg=sg, raw=raw, by=by, at=at)


def into_reclaim(
    fill: Fill,
    volume_l: Decimal,
    source: str,
    *,
    sg: Decimal | None = None,
    raw: str = "",
    field: str = "volume_l",
    by: Member,
    at: datetime | None,
) -> Care:
    """Part of an act: so many litres into a locked reclaim fill. Grams are kept where the SG is known."""
    if volume_l <= 0:
        raise Refused("How much was poured in? It must be more than 0 L.", field=field)
    if sg is not None and sg < 1:
        raise Refused("A slurry is at least as heavy as water: 1.00.", field="sg")
    refuse_no_room(fill, volume_l, field=field)
    change: Change | None = None if sg is None else of_slurry(litres=float(volume_l), sg=float(sg))
    kind, note = Care.Kind.TOPPED_UP, source[:200]
    return done(fill, kind, change=change, volume_l=volume_l, how=RECLAIM, note=note, raw=raw, by=by, at=at)


def inherit(fill: Fill, other: Fill) -> None:
    """What the other fill holds may be in the reclaim bucket now; taking back leaves it said."""
    fill.contents = merged(fill.contents, other.contents)
    fill.soluble = fill.soluble or other.soluble
    fill.save(update_fields=["contents", "soluble"])
