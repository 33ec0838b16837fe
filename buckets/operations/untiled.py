"""A repeat batch released before its tile is fired, and the tile judged afterwards."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from batches.models import Batch, Weighing
from batches.operations.batches import release_batch
from buckets.models import Fill
from buckets.operations.holding import hold_unless_held, refuse_held
from buckets.operations.labelling import label_fill
from buckets.operations.standing import opened
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.recipes.models import Recipe, Version


@dataclass(frozen=True, kw_only=True)
class Condition:
    """One thing that must be so before a fill may be used without its own tile."""

    met: bool
    words: str


def conditions(fill: Fill) -> list[Condition]:
    """What must be so, and whether it is: the recipe proven, the lots known, nothing untested beneath."""
    batches = list(
        Batch.objects.filter(poured_into__fill=fill).select_related("version__recipe").order_by("pk")
    )
    if not batches:
        return [Condition(met=False, words="It was poured from a batch made here: it was not.")]
    found = []
    for batch in batches:
        found += [_in_force(batch), _released_before(batch), _lots_known(batch)]
    before = [parent.parent_fill for parent in fill.parents.select_related("parent_fill__vessel")]
    found += [_was_in_use(old) for old in before if old is not None]
    return found


def _in_force(batch: Batch) -> Condition:
    version, recipe = batch.version, batch.version.recipe
    named = f"Version {version.number} of {recipe.name}"
    if recipe.state != Recipe.State.CURRENT:
        return Condition(met=False, words=f"{recipe.name} is retired.")
    if version.state != Version.State.APPROVED or recipe.current_id != version.pk:
        return Condition(met=False, words=f"{named} is not the approved one in force any more.")
    return Condition(met=True, words=f"{named} is approved and in force.")


def _proven() -> QuerySet[Batch]:
    """Batches that were released on a tile of their own: one whose tile is still due proves nothing."""
    return Batch.objects.filter(state=Batch.State.RELEASED).exclude(poured_into__fill__tile_due=True)


def _released_before(batch: Batch) -> Condition:
    earlier = _proven().filter(version=batch.version, pk__lt=batch.pk).order_by("-pk").first()
    if earlier is None:
        return Condition(met=False, words="No batch of this version was released on its own tile before.")
    return Condition(met=True, words=f"Batch {earlier.number} of this version was released before.")


def _lots_known(batch: Batch) -> Condition:
    standing = Weighing.objects.filter(reverses=None, reversed_by=None)
    ours = standing.filter(line__batch=batch)
    earlier = _proven().filter(pk__lt=batch.pk)
    known = standing.filter(line__batch__in=earlier).values("lot")
    new = sorted(set(ours.exclude(lot__in=known).values_list("lot__code", flat=True)))
    if new:
        return Condition(met=False, words=f"No earlier released batch used lot {', '.join(new)}.")
    return Condition(met=True, words="Every lot in it was used in an earlier batch that was released.")


def _was_in_use(old: Fill) -> Condition:
    named = f"The glaze it was poured onto (fill {old.number})"
    if old.tile_due:
        return Condition(met=False, words=f"{named} has no tile of its own yet either.")
    if old.released_at is None:
        return Condition(met=False, words=f"{named} was never released into use.")
    return Condition(met=True, words=f"{named} was in use.")


@act("released without its tile", about="fill")
def release_untiled(
    *, fill: Fill, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Fill:
    """A repeat batch goes into use before its tile is fired; the tile stays due and is said on the bucket.

    Refused, naming what is missing, unless the version is in force and was released before, every lot was
    used in an earlier released batch, and what it was poured onto had been in use.
    """
    fill = opened(fill)
    refuse_unless(by, rights.MAKE)
    if fill.state != Fill.State.TESTING:
        raise Refused(f"{fill.glaze} in {fill.vessel.code} is {fill.get_state_display()} already.")
    refuse_held(fill)
    if not reason.strip():
        raise Refused("Say why it can't wait for its tile.", field="reason")
    missing = [condition.words for condition in conditions(fill) if not condition.met]
    if missing:
        raise Refused(f"It has to wait for its tile. {' '.join(missing)}")
    waiting = Batch.objects.filter(poured_into__fill=fill).exclude(state=Batch.State.RELEASED)
    for batch in waiting.order_by("pk"):
        release_batch(batch=batch, by=by, at=at)
    fill.state, fill.tile_due, fill.released_at = Fill.State.IN_USE, True, at or timezone.now()
    fill.save(update_fields=["state", "tile_due", "released_at"])
    label_fill(fill, by=by, at=at)
    return fill


@act("tile judged", about="fill")
def judge_tile(
    *, fill: Fill, good: bool, words: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Fill:
    """The tile that was due has been fired. Good: it is due no more. Bad: the bucket is held, too.

    Of a bad one the sentence becomes the reason of the hold; a technician decides what becomes of it.
    """
    fill = opened(fill)
    refuse_unless(by, rights.MAKE)
    if not fill.tile_due:
        raise Refused(f"No tile is due of {fill.glaze} in {fill.vessel.code}.")
    if not words.strip():
        raise Refused("Say what the tile shows.", field="words")
    when = at or timezone.now()
    fill.tile_due = False
    fill.save(update_fields=["tile_due"])
    if not good:
        hold_unless_held(fill, f"its tile is bad: {words.strip()}"[:200], when)
    label_fill(fill, by=by, at=at)
    return fill
