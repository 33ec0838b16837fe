"""A fill held, lifted with a decision, released into use."""

from datetime import datetime
from uuid import UUID

from django.utils import timezone

from batches.models import Batch
from batches.operations import batches
from buckets.errors import FillEmptied
from buckets.labels import bucket_label_content
from buckets.models import Fill
from buckets.operations.care import BEING_MADE
from buckets.operations.standing import opened
from safety.models import Label
from safety.operations.labels import print_label
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.words import litres


@act("bucket held", about="fill")
def hold_fill(
    *, fill: Fill, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Fill:
    """Nobody dips from it until a technician lifts the hold. The state under it stays."""
    fill = opened(fill)
    refuse_unless(by, rights.MAKE)
    if fill.held:
        raise Refused(f"{fill.vessel.code} is held already: {fill.held_reason}.")
    if not reason.strip():
        raise Refused("Say why, so that the next person knows.", field="reason")
    _hold(fill, reason.strip(), at or timezone.now())
    return fill


@act("hold lifted", about="fill")
def lift_hold(
    *, fill: Fill, decision: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Fill:
    """Take a hold off with the decision; the fill returns to the state before.

    Refused while a report on it waits for its answer, or a batch is being made into it.
    """
    fill = opened(fill)
    refuse_unless(by, rights.MAKE)
    if not fill.held:
        raise Refused(f"{fill.vessel.code} is not held.")
    if not decision.strip():
        raise Refused("Say what was found and decided.", field="decision")
    refuse_reports(fill)
    making = being_made_in(fill)
    if making is not None and fill.held_reason == hold_reason(making):
        raise Refused(
            f"Batch {making.number} is being made into {fill.vessel.code}. "
            "Pour or abandon it; that lifts the hold."
        )
    _free(fill, making)
    return fill


@act("released into use", about="fill")
def release_fill(*, fill: Fill, by: Member, key: UUID | None = None, at: datetime | None = None) -> Fill:
    """The tile is good: the fill is in use, its batch released, and a label without *testing* printed."""
    fill = opened(fill)
    refuse_unless(by, rights.MAKE)
    if fill.state != Fill.State.TESTING:
        raise Refused(f"{fill.glaze} in {fill.vessel.code} is {fill.get_state_display()} already.")
    refuse_held(fill)
    poured = Batch.objects.filter(poured_into__fill=fill).exclude(state=Batch.State.RELEASED)
    for batch in poured.order_by("pk"):
        batches.release_batch(batch=batch, by=by, at=at)
    fill.state = Fill.State.IN_USE
    fill.save(update_fields=["state"])
    print_label(
        purpose=Label.Purpose.BUCKET,
        on=fill,
        vessel_code=fill.vessel.code,
        content=bucket_label_content(fill),
        by=by,
        at=at,
    )
    return fill


# --- for making into a bucket


def hold_reason(batch: Batch) -> str:
    """What a bucket says while a batch is made into it."""
    return f"being brought to {litres(batch.to_volume_l)} as batch {batch.number}"


def hold_for(fill: Fill, batch: Batch, at: datetime) -> None:
    """Hold a locked fill while ``batch`` is made into it."""
    _hold(fill, hold_reason(batch), at)


def free_after(fill: Fill, batch: Batch, *, mixed: bool) -> None:
    """Lift the hold that ``batch`` put on a locked fill; ``mixed``: it stays held, for a decision.

    A report that came meanwhile keeps it held.
    """
    if fill.held_reason != hold_reason(batch):
        return
    waiting = fill.reports.filter(answered_at=None).first()
    if mixed:
        fill.held_reason = f"batch {batch.number} was abandoned after some of it went in"
    elif waiting is not None:
        fill.held_reason = f"reported: “{waiting.words}”"[:200]
    else:
        fill.held_at, fill.held_reason = None, ""
    fill.save(update_fields=["held_at", "held_reason"])


def being_made_in(fill: Fill) -> Batch | None:
    """The batch that is being made into this fill, or None."""
    return Batch.objects.filter(vessel=fill.vessel_id, state__in=BEING_MADE, old_volume_l__gt=0).first()


def refuse_held(fill: Fill, *, but: Batch | None = None) -> None:
    """Refuse a fill that is held, unless for the making of batch ``but``."""
    if fill.held and (but is None or fill.held_reason != hold_reason(but)):
        raise Refused(
            f"{fill.vessel.code} is held: {fill.held_reason}. Lift the hold with a decision first.",
            field="vessel",
        )


def refuse_reports(fill: Fill) -> None:
    """Refuse a fill with a report that nobody has answered."""
    waiting = fill.reports.filter(answered_at=None).first()
    if waiting is not None:
        raise Refused(
            f"Somebody reported about {fill.vessel.code}: “{waiting.words}”. Answer that first.",
            field="vessel",
        )


def refuse_other_fill(looked_at: Fill, there: Fill | None) -> None:
    """Refuse when the bucket no longer holds the fill the form was opened for."""
    if there is None or looked_at.pk != there.pk:
        looked_at.refresh_from_db()
        if looked_at.emptied_at:
            raise FillEmptied(looked_at)
        raise Refused(f"{looked_at.glaze} is not in this bucket. Open the page again.")


def _hold(fill: Fill, reason: str, at: datetime) -> None:
    fill.held_at, fill.held_reason = at, reason[:200]
    fill.save(update_fields=["held_at", "held_reason"])


def _free(fill: Fill, making: Batch | None) -> None:
    """The hold goes; a batch that is being made into the fill puts its own in its place."""
    fill.held_at, fill.held_reason = None, ""
    if making is not None:
        fill.held_at, fill.held_reason = timezone.now(), hold_reason(making)
    fill.save(update_fields=["held_at", "held_reason"])
