"""A label or lid on the wrong bucket: whoever sees it says so, and every bucket it may be is held."""

from datetime import datetime
from uuid import UUID

from buckets.models import Fill, Report
from buckets.operations.reports import report as report_it
from studio.errors import Refused
from studio.people.acts import act
from studio.people.models import Member

LOOKS_WRONG = "It does not look like its picture: label or lid may be another bucket's."


@act("does not look like the picture", about="fill", secret=("sender",))
def not_the_picture(
    *,
    fill: Fill,
    sender: str = "",
    by: Member | None = None,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Report:
    """What is in the bucket is not what its label says, by the look of it: held at once, whoever says so."""
    return report_it(fill=fill, kind=Report.Kind.LID, words=LOOKS_WRONG, sender=sender, by=by, at=at)


@act("other bucket of a swap named", about="report", secret=("sender",))
def name_other_bucket(
    *,
    report: Report,
    other: Fill,
    sender: str = "",
    by: Member | None = None,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Report:
    """The bucket that the label or lid may belong to is held as well, until a technician has decided.

    Refused once the first report is answered.
    """
    first = Report.objects.select_related("fill__vessel").get(pk=report.pk)
    if first.answered_at:
        raise Refused("A technician has decided about it already. Report the other bucket by itself.")
    if first.fill_id == other.pk:
        raise Refused("That is the bucket itself. Which other one could it be?", field="other")
    there, glaze = first.fill.vessel.code, first.fill.glaze
    said = f"Its label or lid may be on {there}, which does not look like {glaze}."
    return report_it(fill=other, kind=Report.Kind.LID, words=said, sender=sender, by=by, at=at)
