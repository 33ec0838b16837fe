"""What changes about a person: name, role, units, leaving and coming back."""

from datetime import datetime
from uuid import UUID

from django.utils import timezone

from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.errors import HasLeft, LastManager
from studio.people.models import Invitation, Member, Token
from studio.people.models.members import Role


@act("person changed", about="member")
def change_member(*, member: Member, name: str, role: str, by: Member, key: UUID | None = None) -> Member:
    """Change somebody's name or role. The last manager stays one."""
    refuse_unless(by, rights.PEOPLE)
    member = _locked(member)
    refuse_room(member)
    if role != Role.MANAGER:
        _refuse_last_manager(member)
    member.name, member.role = name.strip(), role
    member.save(update_fields=["name", "role"])
    return member


@act("own details changed", about="by")
def change_own_details(*, name: str, units: str, by: Member, key: UUID | None = None) -> Member:
    """Change one's own name and the units shown beside grams and litres."""
    refuse_unless(by, rights.OWN)
    member = _locked(by)
    member.name, member.units = name.strip(), units
    member.save(update_fields=["name", "units"])
    return member


@act("left", about="member")
def leave(*, member: Member, by: Member, key: UUID | None = None, at: datetime | None = None) -> Member:
    """Somebody leaves: they cannot sign in, their tokens and open invitations close.

    What they did stays under their name. The last manager cannot leave.
    """
    refuse_unless(by, rights.PEOPLE)
    member = _locked(member)
    _refuse_last_manager(member)
    moment = at or timezone.now()
    member.is_active, member.left_at = False, moment
    member.save(update_fields=["is_active", "left_at"])
    Token.objects.filter(member=member, revoked_at=None).update(revoked_at=moment)
    Invitation.objects.filter(by=member, used_at=None, withdrawn_at=None).update(withdrawn_at=moment)
    return member


@act("came back", about="member")
def come_back(*, member: Member, by: Member, key: UUID | None = None, at: datetime | None = None) -> Member:
    """Somebody who left comes back as a member, with the password and sign-offs they had.

    A tablet comes back as what it was.
    """
    refuse_unless(by, rights.PEOPLE)
    member = Member.objects.select_for_update().get(pk=member.pk)
    if member.is_active:
        raise Refused(f"{member} has not left.")
    member.is_active, member.left_at = True, None
    member.role = Role.ROOM if member.is_room else Role.MEMBER
    member.save(update_fields=["is_active", "left_at", "role"])
    return member


def refuse_room(member: Member) -> None:
    """The account of a tablet is nobody's: it takes no role and no sign-off."""
    if member.is_room:
        raise Refused(f"{member} is a tablet's account. Roles and sign-offs are for people.", field="role")


def _locked(member: Member) -> Member:
    """The row to change, locked together with every manager's, by id: two can't step down at once."""
    rows = {m.pk: m for m in _managers_and(member)}
    row = rows[member.pk]
    if not row.is_active:
        raise HasLeft(row)
    return row


def _managers_and(member: Member) -> list[Member]:
    managers = Member.objects.filter(role=Role.MANAGER, is_active=True)
    both = managers | Member.objects.filter(pk=member.pk)
    return list(both.order_by("pk").select_for_update())


def _refuse_last_manager(member: Member) -> None:
    others = Member.objects.filter(role=Role.MANAGER, is_active=True).exclude(pk=member.pk)
    if member.role == Role.MANAGER and not others.exists():
        raise LastManager(member)
