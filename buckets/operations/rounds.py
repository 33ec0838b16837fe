"""A round along the shelf: begun, bucket by bucket, ended. Whoever goes on finds its place."""

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.utils import IntegrityError
from django.utils import timezone

from buckets.models import Fill, Round, Stop
from buckets.operations.care import stir
from buckets.operations.standing import opened
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member


@act("round begun")
def begin_round(*, kind: str, by: Member, key: UUID | None = None, at: datetime | None = None) -> Round:
    """An opening or closing round. Refused while one of today is under way; an older one ends here."""
    refuse_unless(by, rights.USE)
    if kind not in Round.Kind.values:
        raise Refused("Choose the opening or the closing round.", field="kind")
    moment = at or timezone.now()
    for before in Round.objects.select_for_update().filter(kind=kind, ended_at=None).order_by("pk"):
        if timezone.localdate(before.started_at) == timezone.localdate(moment):
            raise Refused(f"The {before.get_kind_display()} of today is under way. Go on with that one.")
        _end(before, moment)
    return Round.objects.create(kind=kind, by=by, started_at=moment)


@act("round stop", about="round")
def stop_at(
    *,
    round: Round,
    fill: Fill,
    stirred: bool = False,
    passed: bool = False,
    note: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Stop:
    """One bucket of the round is done, or ``passed`` by with a word why. ``stirred`` logs a stir as well.

    Refused in a round that has ended, and for a bucket that was done in it already.
    """
    fill = opened(fill)
    row = Round.objects.select_for_update().get(pk=round.pk)
    refuse_unless(by, rights.USE)
    if row.ended_at:
        raise Refused("This round has ended. Begin a new one.")
    if passed and not note.strip():
        raise Refused("Say in a word why it was passed by.", field="note")
    if passed and stirred:
        raise Refused("Passed by or stirred: which of the two?", field="note")
    moment = at or timezone.now()
    if stirred:
        stir(fill=fill, by=by, at=at)
    try:
        with transaction.atomic():
            return Stop.objects.create(
                round=row, vessel=fill.vessel, fill=fill, by=by, at=moment, passed=passed, note=note.strip()
            )
    except IntegrityError:
        raise Refused(f"{fill.vessel.code} was done in this round already.") from None


@act("round ended", about="round")
def end_round(*, round: Round, by: Member, key: UUID | None = None, at: datetime | None = None) -> Round:
    """The round is over, whether every bucket was met or not."""
    row = Round.objects.select_for_update().get(pk=round.pk)
    refuse_unless(by, rights.USE)
    if row.ended_at:
        raise Refused("This round has ended already.")
    _end(row, at or timezone.now())
    return row


def _end(row: Round, moment: datetime) -> None:
    row.ended_at = moment
    row.save(update_fields=["ended_at"])
