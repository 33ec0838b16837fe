"""Care of a fill, and what is used from it: stirred, water in, sieved, used; or such an entry taken back."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from batches.models import Batch
from buckets.errors import FillHeld, MoreThanThereIs, OverTheBrim
from buckets.models import Care, Fill, Use
from buckets.operations.standing import moment, opened, refuse_taking_back, restate
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded

BEING_MADE = (Batch.State.WEIGHING, Batch.State.PAUSED, Batch.State.WET)


@act("stirred", about="fill")
def stir(*, fill: Fill, by: Member, key: UUID | None = None, at: datetime | None = None) -> Care:
    """Somebody stirred it to the floor."""
    fill = opened(fill)
    refuse_unless(by, rights.USE)
    return _done(fill, Care.Kind.STIRRED, by=by, at=at)


@act("water in", about="fill")
def water_in(
    *,
    fill: Fill,
    volume_l: Decimal,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Care:
    """Water into the bucket (rinse water too), litres above 0. The SG before it no longer counts.

    Refused over the brim, and while a batch is being made in this bucket.
    """
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    if volume_l <= 0:
        raise Refused("How much water went in? It must be more than 0 L.", field="volume_l")
    batch = Batch.objects.filter(vessel=fill.vessel_id, state__in=BEING_MADE).first()
    if batch is not None:
        raise Refused(f"Batch {batch.number} is being made in {fill.vessel.code}: water goes in on its page.")
    after = fill.volume_l + volume_l
    if after > rounded(fill.vessel.brim_l(), 3):
        raise OverTheBrim(fill.vessel, after, field="volume_l")
    return _done(fill, Care.Kind.WATER_IN, volume_l=volume_l, note=note, raw=raw, by=by, at=at)


@act("sieved", about="fill")
def sieve_fill(
    *,
    fill: Fill,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Care:
    """The whole bucket went through a sieve; ``note`` says which and what stayed on it."""
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    return _done(fill, Care.Kind.SIEVED, note=note, raw=raw, by=by, at=at)


def _done(
    fill: Fill,
    kind: str,
    *,
    by: Member,
    at: datetime | None,
    volume_l: Decimal | None = None,
    note: str = "",
    raw: str = "",
) -> Care:
    row = Care.objects.create(
        fill=fill, kind=kind, volume_l=volume_l, note=note.strip(), raw=raw, by=by, at=moment(fill, at)
    )
    restate(fill)
    return row


@act("used", about="fill")
def log_use(
    *,
    fill: Fill,
    volume_l: Decimal,
    pieces: int | None = None,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Use:
    """Glaze taken out of the bucket, litres above 0, and for how many pieces if that was said.

    Refused from a held bucket and when it is more than there is.
    """
    fill = opened(fill)
    refuse_unless(by, rights.USE)
    if fill.held:
        raise FillHeld(fill)
    if volume_l <= 0:
        raise Refused("How much did you use? It must be more than 0 L.", field="volume_l")
    if volume_l > fill.volume_l:
        raise MoreThanThereIs(fill)
    use = Use.objects.create(fill=fill, volume_l=volume_l, pieces=pieces, raw=raw, by=by, at=moment(fill, at))
    restate(fill)
    return use


@act("care taken back", about="care")
def take_back_care(
    *, care: Care, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Care:
    """The entry was wrong: a second row takes it back, and the fill is as if it had not been made."""
    fill = opened(care.fill)
    refuse_taking_back(care, by)
    if not reason.strip():
        raise Refused("Say what was wrong with it.", field="reason")
    row = Care.objects.create(
        fill=fill,
        kind=care.kind,
        volume_l=care.volume_l,
        note=reason.strip(),
        reverses=care,
        by=by,
        at=at or timezone.now(),
    )
    restate(fill)
    return row


@act("use taken back", about="use")
def take_back_use(
    *, use: Use, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Use:
    """The entry was wrong: a second row takes it back, and the litres are there again."""
    fill = opened(use.fill)
    refuse_taking_back(use, by)
    if not reason.strip():
        raise Refused("Say what was wrong with it.", field="reason")
    row = Use.objects.create(
        fill=fill,
        volume_l=use.volume_l,
        pieces=use.pieces,
        raw=reason.strip(),
        reverses=use,
        by=by,
        at=at or timezone.now(),
    )
    restate(fill)
    return row
