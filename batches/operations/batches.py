"""What happens to a batch as a whole: pause, hold, abandon, poured, released, rejected."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from batches.errors import BatchNot
from batches.models import Batch, Request
from batches.operations.weighing import locked
from safety.operations.labels import void_labels
from studio.errors import Refused
from studio.materials.models import Material
from studio.materials.operations import stock
from studio.materials.queries import reserved_for
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member

State = Batch.State
OPEN = (State.PLANNED, State.WEIGHING, State.PAUSED, State.WET, State.TESTING)


@act("paused", about="batch")
def pause_batch(*, batch: Batch, by: Member, key: UUID | None = None, at: datetime | None = None) -> Batch:
    """Stop weighing and keep the place."""
    return _from_to(batch, State.WEIGHING, State.PAUSED, by, rights.WEIGH, "only weighing can be paused")


@act("resumed", about="batch")
def resume_batch(*, batch: Batch, by: Member, key: UUID | None = None, at: datetime | None = None) -> Batch:
    """Go on weighing where it was paused."""
    return _from_to(batch, State.PAUSED, State.WEIGHING, by, rights.WEIGH, "only a paused batch can go on")


@act("batch held", about="batch")
def hold_batch(
    *, batch: Batch, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Batch:
    """Stop everything on this batch until a technician lifts it. Anybody who may weigh may hold."""
    batch = locked(batch)
    refuse_unless(by, rights.WEIGH)
    if batch.held or batch.state not in OPEN:
        raise BatchNot(batch, "it cannot be held")
    if not reason.strip():
        raise Refused("Say what is wrong, so that the next person knows.", field="reason")
    batch.held_at, batch.held_reason = at or timezone.now(), reason.strip()
    batch.save(update_fields=["held_at", "held_reason"])
    return batch


@act("batch lifted", about="batch")
def lift_batch(
    *, batch: Batch, decision: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Batch:
    """Take a hold off again, with the decision; the batch returns to the state before."""
    batch = locked(batch)
    refuse_unless(by, rights.MAKE)
    if not batch.held:
        raise BatchNot(batch, "it is not held")
    if not decision.strip():
        raise Refused("Say what was decided and why.", field="decision")
    batch.held_at, batch.held_reason = None, ""
    batch.save(update_fields=["held_at", "held_reason"])
    return batch


@act("batch abandoned", about="batch")
def abandon_batch(
    *, batch: Batch, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Batch:
    """Give a batch up: what is still promised is free again, what was weighed stays used."""
    batch = locked(batch)
    refuse_unless(by, rights.MAKE)
    if batch.state not in (State.PLANNED, State.WEIGHING, State.PAUSED, State.WET):
        raise BatchNot(batch, "it cannot be abandoned any more")
    if not reason.strip():
        raise Refused("Say why, and what became of what is in the bucket.", field="reason")
    free_promises(batch, by, at)
    _close(batch, State.ABANDONED, at)
    return batch


def free_promises(batch: Batch, by: Member, at: datetime | None) -> None:
    """Give back whatever is still reserved for this batch."""
    what = f"batch {batch.number}"
    promised = sorted(reserved_for(what).items())
    materials = Material.objects.in_bulk([material_id for (material_id, _), _ in promised])
    for (material_id, line), mass_g in promised:
        if mass_g > Decimal(0):
            stock.reserve(material=materials[material_id], mass_g=-mass_g, what=what, line=line, by=by, at=at)


@act("poured", about="batch")
def poured(*, batch: Batch, by: Member, key: UUID | None = None, at: datetime | None = None) -> Batch:
    """The batch left for a bucket and waits for its tile. Refused unless wet with a reading."""
    batch = locked(batch)
    refuse_unless(by, rights.MAKE)
    if batch.state != State.WET or batch.held:
        raise BatchNot(batch, "only a wet batch can be poured")
    batch.state = State.TESTING
    batch.save(update_fields=["state"])
    if batch.request_id:
        Request.objects.filter(pk=batch.request_id).update(state=Request.State.MADE)
    return batch


@act("batch released", about="batch")
def release_batch(*, batch: Batch, by: Member, key: UUID | None = None, at: datetime | None = None) -> Batch:
    """The tile was good: the batch is released."""
    batch = locked(batch)
    refuse_unless(by, rights.MAKE)
    if batch.state != State.TESTING or batch.held:
        raise BatchNot(batch, "only a batch in testing can be released")
    _close(batch, State.RELEASED, at)
    return batch


@act("batch rejected", about="batch")
def reject_batch(
    *, batch: Batch, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Batch:
    """The batch failed its tile or its numbers and goes to waste glaze."""
    batch = locked(batch)
    refuse_unless(by, rights.MAKE)
    if batch.state not in (State.WET, State.TESTING):
        raise BatchNot(batch, "only a wet batch or one in testing can be rejected")
    if not reason.strip():
        raise Refused("Say what failed.", field="reason")
    _close(batch, State.REJECTED, at)
    return batch


def _close(batch: Batch, state: str, at: datetime | None) -> None:
    batch.state, batch.closed_at = state, at or timezone.now()
    batch.held_at, batch.held_reason = None, ""
    batch.save(update_fields=["state", "closed_at", "held_at", "held_reason"])
    void_labels(batch, f"batch {batch.number} was {state}", at)


def _from_to(batch: Batch, before: str, after: str, by: Member, right: str, otherwise: str) -> Batch:
    batch = locked(batch)
    refuse_unless(by, right)
    if batch.state != before or batch.held:
        raise BatchNot(batch, otherwise)
    batch.state = after
    batch.save(update_fields=["state"])
    return batch
