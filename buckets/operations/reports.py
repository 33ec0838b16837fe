"""Something is wrong with it: anybody may say so, the bucket is held at once, a technician answers."""

from datetime import datetime
from uuid import UUID

from django.utils import timezone

from buckets.models import Fill, Report
from buckets.operations.holding import lift_hold
from buckets.operations.standing import locked, moment, opened
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member

HELD_REASON_LENGTH = 200


@act("reported", about="fill")
def report(
    *,
    fill: Fill,
    words: str,
    by: Member | None = None,
    raw: str = "",
    key: UUID | None = None,
    at: datetime | None = None,
) -> Report:
    """Something is wrong with a fill: kept in the reporter's ``words``, and the fill is held at once.

    Nobody needs to be known for it: ``by`` None is a stranger at the bucket. A fill that is held already
    keeps its first reason; the report stands beside it.
    """
    fill = opened(fill)
    said = words.strip()
    if not said:
        raise Refused("Say in a few words what looks wrong.", field="words")
    row = Report.objects.create(fill=fill, words=said, by=by, at=moment(fill, at))
    if not fill.held:
        fill.held_at, fill.held_reason = row.at, _short(f"reported: “{said}”")
        fill.save(update_fields=["held_at", "held_reason"])
    return row


def _short(text: str) -> str:
    return text if len(text) <= HELD_REASON_LENGTH else f"{text[: HELD_REASON_LENGTH - 2]}…”"


@act("report answered", about="report")
def answer_report(
    *,
    report: Report,
    answer: str,
    lift: bool = False,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Report:
    """A technician's decision on a report. ``lift`` takes the hold off as well.

    Lifting is refused as ``lift_hold`` refuses it: while another report on the fill waits, too.
    """
    fill = locked(report.fill)
    refuse_unless(by, rights.MAKE)
    row = Report.objects.select_for_update().get(pk=report.pk)
    if row.answered_at:
        raise Refused("This report was answered already.")
    if not answer.strip():
        raise Refused("Say what was found and decided.", field="answer")
    row.answered_by, row.answered_at, row.answer = by, at or timezone.now(), answer.strip()
    row.save(update_fields=["answered_by", "answered_at", "answer"])
    if lift and fill.held:
        lift_hold(fill=fill, decision=row.answer, by=by, at=at)
    return row
