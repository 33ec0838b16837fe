"""Rows of checks and incidents for tests of the inspection pack, and its gaps as a test reads them."""

from datetime import timedelta

from django.utils import timezone

from safety.models import Incident, SafetyCheck
from safety.operations.incidents import report_injury, report_spill
from studio.front.inspection import gaps_in, read
from tests.factories import bram

DAY = timedelta(days=1)


def gaps(head: str, *, injuries: bool = False) -> dict[str, str]:
    """What is missing under a head, with why."""
    found = gaps_in(read(timezone.now(), injuries=injuries)).get(head, [])
    return {gap.what: gap.why for gap in found}


def checked(kind: str, days_ago: float, *, good: bool = True, **more) -> SafetyCheck:
    at = timezone.now() - days_ago * DAY
    return SafetyCheck.objects.create(kind=kind, good=good, by=bram(), at=at, **more)


def happened(kind: str, *, days_ago: float = 1) -> Incident:
    at = timezone.now() - days_ago * DAY
    report = {"spill": report_spill, "injury": report_injury}[kind]
    return report(what="a bag tore", by=bram(), at=at)
