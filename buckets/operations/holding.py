"""A fill held, lifted with a decision, released into use."""

from datetime import datetime
from uuid import UUID

from django.utils import timezone

from batches.models import Batch
from batches.operations import batches
from buckets.errors import FillEmptied
from buckets.models import Fill, Report
from buckets.operations.care import BEING_MADE
from buckets.operations.labelling import label_fill
from buckets.operations.standing import opened
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.words import litres

REASON_LENGTH = 200


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

    Refused while a report on it waits for its answer, or a batch is being made into it. A hold of one of
    its lots is lifted for this fill alone; under any other reason it stays and is named afterwards.
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
    moment = at or timezone.now()
    _end_of_lot(fill, decision.strip(), moment)
    release_hold(fill, moment)
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
    fill.state, fill.released_at = Fill.State.IN_USE, at or timezone.now()
    fill.save(update_fields=["state", "released_at"])
    label_fill(fill, by=by, at=at)
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

    A report or a hold of a lot that came meanwhile keeps it held.
    """
    if fill.held_reason != hold_reason(batch):
        return
    if mixed:
        fill.held_reason = f"batch {batch.number} was abandoned after some of it went in"
        fill.save(update_fields=["held_reason"])
    else:
        release_hold(fill, timezone.now())


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
            f"Somebody reported about {fill.vessel.code}: {waiting.said}. Answer that first.",
            field="vessel",
        )


def refuse_other_fill(looked_at: Fill, there: Fill | None) -> None:
    """Refuse when the bucket no longer holds the fill the form was opened for."""
    if there is None or looked_at.pk != there.pk:
        looked_at.refresh_from_db()
        if looked_at.emptied_at:
            raise FillEmptied(looked_at)
        raise Refused(f"{looked_at.glaze} is not in this bucket. Open the page again.")


# --- reasons to hold, and the end of one


def report_reason(report: Report) -> str:
    """What a bucket says while a report on it waits."""
    return _cut(f"reported: {report.said}")


def hold_unless_held(fill: Fill, reason: str, at: datetime) -> None:
    """Hold a locked fill; one that is held already keeps its first reason."""
    if not fill.held:
        _hold(fill, reason, at)


def release_hold(fill: Fill, at: datetime) -> None:
    """The reason a locked fill is held for is gone: it is free, or held for the next reason that stands.

    When it is free, the reports under this hold keep how long it lasted.
    """
    reason = _next_reason(fill)
    if reason:
        fill.held_reason = _cut(reason)
    else:
        fill.reports.filter(held_until=None, held_from__isnull=False).update(held_until=at)
        fill.held_at, fill.held_reason = None, ""
    fill.save(update_fields=["held_at", "held_reason"])


def _next_reason(fill: Fill) -> str:
    """A report that waits, a hold of one of its lots, or a batch being made into it; empty when none."""
    waiting = fill.reports.filter(answered_at=None).order_by("at", "id").first()
    if waiting is not None:
        return report_reason(waiting)
    of_lot = fill.held_by_lots.filter(lifted_at=None).select_related("hold__lot").first()
    if of_lot is not None:
        return of_lot.hold.held_reason
    making = being_made_in(fill)
    return hold_reason(making) if making else ""


def _end_of_lot(fill: Fill, decision: str, at: datetime) -> None:
    """Lifting a hold that names a lot ends the hold of that lot for this fill."""
    for row in fill.held_by_lots.filter(lifted_at=None).select_related("hold__lot"):
        if _cut(row.hold.held_reason) == fill.held_reason:
            row.lifted_at, row.decision = at, decision[:400]
            row.save(update_fields=["lifted_at", "decision"])


def _hold(fill: Fill, reason: str, at: datetime) -> None:
    fill.held_at, fill.held_reason = at, _cut(reason)
    fill.save(update_fields=["held_at", "held_reason"])


def _cut(reason: str) -> str:
    return reason if len(reason) <= REASON_LENGTH else f"{reason[: REASON_LENGTH - 2]}…”"
