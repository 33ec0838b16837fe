"""What acts that change what is in a bucket have in common: what is refused, and the row they leave."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from batches.models import Batch
from buckets.calc.changes import Change
from buckets.errors import MoreThanThereIs, OverTheBrim, OverTheLimit
from buckets.models import Care, Fill
from buckets.operations.standing import moment, restate
from studio.calc.slurry import dry_from_volume
from studio.errors import Refused
from studio.people.models import Member
from studio.quantities import rounded
from studio.room import policy

BEING_MADE = (Batch.State.WEIGHING, Batch.State.PAUSED, Batch.State.WET)
ASSUMED_DENSITY = Decimal("2.6")  # g/mL of a powder nobody has told; common practice, no source


def refuse_being_made(fill: Fill, what: str) -> None:
    """While a batch is made in this bucket, what goes in goes in on the batch's page."""
    batch = Batch.objects.filter(vessel=fill.vessel_id, state__in=BEING_MADE).first()
    if batch is not None:
        raise Refused(f"Batch {batch.number} is being made in {fill.vessel.code}: {what} on its page.")


def refuse_no_room(fill: Fill, more_l: Decimal, *, field: str, at: datetime | None = None) -> None:
    """Refuse what would run over, and what would fill the bucket beyond the studio's limit.

    Told afterwards (``at``), what went in before the newest level was read stands in that level already.
    """
    if at and fill.readings.filter(volume_l__isnull=False, replaced_by=None, at__gt=at).exists():
        if more_l > rounded(fill.vessel.brim_l(), 3):
            raise OverTheBrim(fill.vessel, more_l, field=field)
        return
    after = fill.volume_l + more_l
    if after > rounded(fill.vessel.brim_l(), 3):
        raise OverTheBrim(fill.vessel, after, field=field)
    limit_pct = policy.in_force().fill_limit_pct
    if after > rounded(fill.vessel.brim_l() * float(limit_pct) / 100, 3):
        raise OverTheLimit(fill, more_l, limit_pct, field=field)


def refuse_more_than_there_is(fill: Fill, litres: Decimal) -> None:
    if litres > fill.volume_l:
        raise MoreThanThereIs(fill)


def density_of(fill: Fill) -> Decimal:
    """Particle density of the powder in it (g/mL): the fill's own, else the one that is assumed."""
    return fill.particle_density or ASSUMED_DENSITY


def dry_kg_in(fill: Fill, sg: Decimal | None) -> float | None:
    """Kilograms of dry glaze in a fill by its litres and an SG; None when either does not tell it."""
    powder = fill.particle_density
    if sg is None or powder is None or not 1 < sg < powder:
        return None
    return dry_from_volume(volume_l=float(fill.volume_l), sg=float(sg), rho_s=float(powder))


def done(
    fill: Fill,
    kind: str,
    *,
    by: Member | None,
    at: datetime | None,
    change: Change | None = None,
    note: str = "",
    **told: Any,
) -> Care:
    """The row of one act on a locked fill, with what it did to litres and grams, and the fill restated."""
    row = Care.objects.create(
        fill=fill,
        kind=kind,
        change_l=None if change is None else rounded(change.litres, 3),
        change_g=None if change is None else rounded(change.grams, 3),
        note=note.strip(),
        by=by,
        at=moment(fill, at),
        **told,
    )
    restate(fill)
    return row
