"""What the pages about people ask the database."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet
from django.utils import timezone

from studio.calc.days import said_day
from studio.people import rights
from studio.people.models import Entry, Invitation, Member, SignOff
from studio.people.models.members import Role

SHOWN = ("name", "role", "kind", "expires_on")


def people_here() -> QuerySet[Member]:
    """Whoever has not left; a tablet is nobody."""
    return Member.objects.filter(is_active=True).exclude(role=Role.ROOM)


def people(*, left: bool = False, find: str = "") -> QuerySet[Member]:
    """Those here (or those who left), with their sign-offs in force, by name."""
    in_force = SignOff.objects.filter(withdrawn_at=None)
    rows = Member.objects.filter(is_active=not left, name__icontains=find).exclude(role=Role.ROOM)
    return rows.prefetch_related(Prefetch("sign_offs", in_force, to_attr="in_force"))


def tablets(*, left: bool = False) -> QuerySet[Member]:
    """The accounts of shared tablets."""
    return Member.objects.filter(role=Role.ROOM, is_active=not left)


def unused_invitations(now: datetime) -> list[dict[str, Any]]:
    """The newest 20 links that nobody used, those that ran out included."""
    rows = Invitation.objects.filter(used_at=None, withdrawn_at=None).select_related("by").order_by("-id")
    return [{"row": row, "run_out": row.expires_at <= now} for row in rows[:20]]


def may_do(member: Member) -> list[tuple[str, bool]]:
    """Every right in words, and whether this person holds it."""
    return [(words, member.may(right)) for right, words in rights.WORDS.items()]


def who_hold(*wanted: str) -> list[str]:
    """Names of those here who hold every one of these rights today, the room left out: one query."""
    rows = people_here()
    in_force = Q(withdrawn_at=None) & (Q(expires_on=None) | Q(expires_on__gte=timezone.localdate()))
    for right in wanted:
        by_role = [role for role in Role.values if right in rights.of_role(role)]
        signed = SignOff.objects.filter(in_force, member=OuterRef("pk"), kind=rights.sign_off_for(right))
        rows = rows.filter(Q(role__in=by_role) | Q(Exists(signed), role=Role.HELPER))
    return list(rows.values_list("name", flat=True))


def told(entries: Iterable[Entry]) -> list[dict[str, Any]]:
    """Lines of a story: what was done, with the few words of it that people read."""
    return [
        {
            "act": entry.act,
            "said": ", ".join(_said(name, entry.content[name]) for name in SHOWN if entry.content.get(name)),
            "by": entry.by,
            "at": entry.at,
        }
        for entry in entries
    ]


def _said(name: str, value: str) -> str:
    if name != "expires_on":
        return value
    return f"until {said_day(date.fromisoformat(value))}"
