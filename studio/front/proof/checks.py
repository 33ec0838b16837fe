"""Checks and incidents: no number is missing, a correction is of the same, a respirator is somebody's."""

from collections.abc import Iterator

from django.db.models import Count, F, Max, Q

from safety.models import Incident, SafetyCheck
from studio.front.proof.problem import Problem


def problems() -> Iterator[Problem]:
    corrections = SafetyCheck.objects.exclude(replaces=None)
    other_person = ~Q(person=F("replaces__person")) & ~Q(person=None, replaces__person=None)
    for check in corrections.filter(~Q(kind=F("replaces__kind")) | other_person):
        yield Problem(
            f"safety check {check.pk}", f"corrects {check.replaces_id}, which is of something else."
        )
    respirator = Q(kind=SafetyCheck.Kind.RESPIRATOR)
    for check in SafetyCheck.objects.filter(respirator & Q(person=None) | ~respirator & ~Q(person=None)):
        said = "names nobody." if check.person_id is None else "names a person and is no respirator."
        yield Problem(f"safety check {check.pk}", said)
    yield from _incidents()


def _incidents() -> Iterator[Problem]:
    """Each kind is numbered from 1 without a gap: rows are never taken out."""
    for kind in Incident.Kind.values:
        told = Incident.objects.filter(kind=kind).aggregate(n=Count("pk"), last=Max("number"))
        if told["n"] and told["n"] != told["last"]:
            said = f"{told['n']} are on record, but {told['last']} is the last number."
            yield Problem(f"incidents: {kind}", said)
