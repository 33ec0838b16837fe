"""Reports: answers, the holds they stand under, holds of lots."""

from collections.abc import Iterator

from django.db.models import Q

from buckets.models import HeldByLot, LotHold, Report
from studio.front.proof.problem import Problem


def problems() -> Iterator[Problem]:
    yield from _reports()
    yield from _lots()


def _reports() -> Iterator[Problem]:
    half = Q(answered_at=None, answered_by__isnull=False) | Q(answered_at__isnull=False, answered_by=None)
    for report in Report.objects.filter(half):
        yield Problem(str(report), "is answered by halves: by whom and when belong together.")
    waiting = Report.objects.filter(answered_at=None, fill__emptied_at=None)
    for report in waiting.filter(fill__held_at=None):
        yield Problem(str(report), "waits for its answer, but its fill is not held.")
    standing = Report.objects.filter(held_from__isnull=False, held_until=None)
    for report in standing.filter(fill__held_at=None, fill__emptied_at=None):
        yield Problem(str(report), "stands under a hold that has ended.")


def _lots() -> Iterator[Problem]:
    standing = HeldByLot.objects.filter(lifted_at=None, fill__emptied_at=None)
    for row in standing.filter(fill__held_at=None).select_related("hold__lot", "fill__vessel"):
        where = f"lot {row.hold.lot.code}"
        yield Problem(where, f"holds {row.fill.vessel.code}, but that is not held.")
    for hold in LotHold.objects.filter(lifted_at__isnull=False, fills__lifted_at=None).distinct():
        yield Problem(str(hold), "is lifted, but not for every fill under it.")
