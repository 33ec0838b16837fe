"""What is due, most urgent first: each line says what is so and leads to the act that clears it."""

from datetime import datetime

from buckets.models import Report
from studio.front.due import labels, making, room, shelf
from studio.front.due.line import Due
from studio.front.due.several import several
from studio.room import policy
from studio.room.steps import Progress

__all__ = ["Due", "due"]

MOST = 20  # reports at once


def due(now: datetime, steps: list[Progress]) -> list[Due]:
    """Everything that waits for a technician, in order of what hurts first. Ten queries, whatever waits.

    ``steps`` is how far the room is set up.
    """
    rules = policy.in_force()
    open_reports = Report.objects.filter(answered_at=None).select_related("fill__vessel").order_by("at")
    reports = list(open_reports[:MOST])
    going = making.under_way()
    found = [
        *shelf.reports(reports, now, rules),
        *shelf.fills(now, rules, but={report.fill_id for report in reports}, making=going),
        *making.batches(going),
        *making.requests(),
        *several(now, rules, begun=bool(room.vessels_in(steps))),
        *labels.labels(now, rules),
        *labels.old_labels(),
        *room.setting_up(steps),
    ]
    return sorted(found, key=lambda line: line.urgency)
