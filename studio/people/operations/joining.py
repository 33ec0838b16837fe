"""How people come in: the first manager with the code of the machine, everybody else by a link."""

import secrets
from datetime import datetime, timedelta
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from studio import first_code
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.api_auth import digest_of
from studio.people.doors import refuse_unless
from studio.people.errors import LinkClosed, NameTaken
from studio.people.log_in import refuse_weak, username_of
from studio.people.models import Invitation, Member
from studio.people.models.members import Role

NO_CODE = (
    "This page opens with the link that the studio printed when it was started. "
    "Look for it there, or start the studio again."
)


@act("studio founded", secret=("code", "password"))
def found_studio(
    *,
    code: str,
    name: str,
    username: str,
    password: str,
    by: Member | None = None,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Member:
    """Make the first manager of an empty studio.

    Refused once anybody is in it, and without the code that stands in the data folder.
    """
    take_number("studio founded")  # its row lock lets one founder through at a time
    if Member.objects.exists():
        raise Refused("This studio has its first manager already. Sign in, or ask them for a link.")
    if not first_code.matches(code):
        raise Refused(NO_CODE)
    member = _new_member(name, username, password, Role.MANAGER, at)
    transaction.on_commit(first_code.spend)
    return member


@act("room account made", secret=("password",))
def add_room_account(
    *,
    name: str,
    username: str,
    password: str,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Member:
    """Make an account for a shared tablet.

    It may look, stir and report; for anything else it asks who it is.
    """
    refuse_unless(by, rights.PEOPLE)
    return _new_member(name, username, password, Role.ROOM, at)


@act("person invited")
def invite(
    *,
    name: str,
    role: str,
    days: int,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Invitation:
    """Make a link by which one person joins, once, within ``days``.

    The row comes back with ``code``, the secret of the link, which is kept nowhere: a repeat of
    the act has none.
    """
    refuse_unless(by, rights.PEOPLE)
    code = secrets.token_urlsafe(32)
    moment = at or timezone.now()
    invitation = Invitation.objects.create(
        digest=digest_of(code),
        name=name.strip(),
        role=role,
        by=by,
        at=moment,
        expires_at=moment + timedelta(days=days),
    )
    invitation.code = code  # type: ignore[attr-defined]
    return invitation


@act("invitation withdrawn", about="invitation")
def withdraw_invitation(*, invitation: Invitation, by: Member, key: UUID | None = None) -> Invitation:
    """Close a link that nobody used yet."""
    refuse_unless(by, rights.PEOPLE)
    invitation = Invitation.objects.select_for_update().get(pk=invitation.pk)
    if invitation.used_at:
        raise Refused(f"{invitation.used_by} has joined by this link already.")
    invitation.withdrawn_at = invitation.withdrawn_at or timezone.now()
    invitation.save(update_fields=["withdrawn_at"])
    return invitation


def open_invitation(code: str, *, lock: bool = False, at: datetime | None = None) -> Invitation:
    """The invitation a link's code opens (at a told moment); raises LinkClosed saying why it opens none."""
    rows = Invitation.objects.select_for_update() if lock else Invitation.objects
    invitation = rows.filter(digest=digest_of(code)).first()
    if invitation is None:
        raise LinkClosed("This link is not one of this studio's. Perhaps a part of it was lost.")
    if invitation.withdrawn_at:
        raise LinkClosed("This link was withdrawn.")
    if invitation.used_at:
        raise LinkClosed("Somebody joined by this link already, and it works once.")
    if invitation.expires_at <= (at or timezone.now()):
        raise LinkClosed("This link has run out.")
    return invitation


@act("joined", secret=("code", "password"))
def join(
    *,
    code: str,
    name: str,
    username: str,
    password: str,
    by: None = None,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Member:
    """Become a member by an invitation's link, in the role it was made for. The link is used up."""
    invitation = open_invitation(code, lock=True, at=at)
    member = _new_member(name, username, password, invitation.role, at)
    invitation.used_at, invitation.used_by = at or timezone.now(), member
    invitation.save(update_fields=["used_at", "used_by"])
    return member


def _new_member(name: str, username: str, password: str, role: str, at: datetime | None) -> Member:
    member = Member(
        name=name.strip(), username=username_of(username), role=role, joined_at=at or timezone.now()
    )
    refuse_weak(password, member)
    member.set_password(password)
    try:
        with transaction.atomic():
            member.save(force_insert=True)
    except IntegrityError as taken:
        raise NameTaken(member.username) from taken
    return member
