"""The wet side of a batch: water, sieve, weighing the bucket, in-process readings."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from batches import standing
from batches.errors import BatchNot
from batches.labels import working_label_content
from batches.models import Batch, Step
from batches.operations.weighing import locked
from safety.mixes import mix_of_version
from safety.models import Label
from safety.operations.classifying import kept
from safety.operations.labels import print_label
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member

MAKING = (Batch.State.WEIGHING, Batch.State.WET)


def _open(batch: Batch, by: Member, states: tuple[str, ...], otherwise: str) -> Batch:
    batch = locked(batch)
    refuse_unless(by, rights.WET)
    if batch.state not in states or batch.held:
        raise BatchNot(batch, otherwise)
    return batch


@act("water into the batch", about="batch")
def add_water(
    *,
    batch: Batch,
    water_l: Decimal,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Step:
    """Water into the bucket, litres. The first water prints the working label.

    Refused when it would bring the bucket over its fill limit.
    """
    batch = _open(batch, by, MAKING, "water goes in while weighing or wet")
    first = not standing.water_is_in(batch)
    room_l = standing.room_left_l(batch)
    if batch.vessel and room_l is not None and float(water_l) > room_l + 0.0005:
        raise Refused(
            f"{batch.vessel.code} has room for {max(room_l, 0):.2f} L more under its fill limit.",
            field="water_l",
        )
    step = Step.objects.create(
        batch=batch, kind=Step.Kind.WATER, water_l=water_l, raw=raw, by=by, at=at or timezone.now()
    )
    if first:
        print_label(
            purpose=Label.Purpose.WORKING,
            on=batch,
            vessel_code=batch.vessel.code if batch.vessel else "",
            content=working_label_content(batch),
            classification=kept(
                mix=mix_of_version(batch.version_id),
                what=str(batch.version),
                why="a label was printed",
                by=by,
                at=at,
            ),
            by=by,
            at=at,
        )
    return step


@act("batch sieved", about="batch")
def sieve_batch(
    *,
    batch: Batch,
    mesh: int,
    note: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Step:
    """Through the sieve, ASTM mesh number."""
    batch = _open(batch, by, (Batch.State.WET,), "it is sieved when everything is in")
    return Step.objects.create(
        batch=batch, kind=Step.Kind.SIEVED, mesh=mesh, note=note, by=by, at=at or timezone.now()
    )


@act("bucket weighed", about="batch")
def weigh_bucket(
    *,
    batch: Batch,
    gross_g: Decimal,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Step:
    """The whole bucket on a scale, grams. The best single catch of a line that never went in."""
    batch = _open(batch, by, MAKING, "the bucket is weighed while weighing or wet")
    if batch.vessel and gross_g < batch.vessel.empty_g:
        raise Refused(
            f"{batch.vessel.code} alone weighs {batch.vessel.empty_g / 1000:.3f} kg; this is less.",
            field="gross_g",
        )
    return Step.objects.create(
        batch=batch, kind=Step.Kind.GROSS, gross_g=gross_g, raw=raw, by=by, at=at or timezone.now()
    )


@act("batch reading", about="batch")
def record_batch_reading(
    *,
    batch: Batch,
    sg: Decimal,
    u_sg: Decimal | None = None,
    depth_cm: Decimal | None = None,
    volume_l: Decimal | None = None,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Step:
    """An in-process reading: SG with its standard uncertainty, and litres (typed, or by depth in cm)."""
    batch = _open(batch, by, (Batch.State.WET,), "it is measured when everything is in")
    if not Decimal(1) < sg < batch.particle_density:
        raise Refused(
            f"A slurry lies between water (1.00) and powder ({batch.particle_density:.2f}); {sg} does not.",
            field="sg",
        )
    if volume_l is None and depth_cm is not None:
        volume_l = standing.litres_at(batch.vessel, depth_cm)
    return Step.objects.create(
        batch=batch,
        kind=Step.Kind.READING,
        sg=sg,
        u_sg=u_sg,
        depth_cm=depth_cm,
        volume_l=volume_l,
        raw=raw,
        by=by,
        at=at or timezone.now(),
    )


@act("step taken back", about="step")
def take_back_step(
    *, step: Step, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Step:
    """The record was wrong: a second row takes it back. What is in the bucket stays in the bucket."""
    batch = _open(step.batch, by, MAKING, "a step can be taken back only before pouring")
    if step.reverses_id or Step.objects.filter(reverses=step).exists():
        raise Refused("This was already taken back.")
    return Step.objects.create(
        batch=batch, kind=step.kind, reverses=step, note=reason, by=by, at=at or timezone.now()
    )
