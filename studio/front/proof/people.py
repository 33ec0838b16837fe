"""People: what is kept beside a person about their notices."""

from collections.abc import Iterator

from django.db.models import Count, F, Q

from studio.front.proof.problem import Problem
from studio.people.models import Member


def problems() -> Iterator[Problem]:
    new = Count("notices", filter=Q(notices__read_at=None))
    for member in Member.objects.annotate(new=new).exclude(unread=F("new")):
        said = f"is said to have {member.unread} unread notices, there are {member.new}."  # type: ignore[attr-defined]
        yield Problem(f"person {member}", said)
