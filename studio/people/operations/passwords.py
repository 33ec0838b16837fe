"""Passwords: changed by their owner, or set anew by a link that a manager makes."""

from uuid import UUID

from axes.utils import reset
from django.contrib.auth.tokens import default_token_generator

from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.errors import HasLeft, LinkClosed
from studio.people.log_in import refuse_weak
from studio.people.models import Member


@act("password changed", about="by", secret=("current", "password"))
def change_password(*, current: str, password: str, by: Member, key: UUID | None = None) -> Member:
    """Change one's own password, knowing the current one. Other sessions of theirs end."""
    refuse_unless(by, rights.OWN)
    member = Member.objects.select_for_update().get(pk=by.pk)
    if not member.check_password(current):
        raise Refused("That is not your password now. Mind capital letters.", field="current")
    return _set(member, password)


@act("link for a new password made", about="member")
def allow_new_password(*, member: Member, by: Member, key: UUID | None = None) -> Member:
    """Let somebody who forgot their password choose a new one.

    The row comes back with ``code``, the secret of the link: it works once, until they sign in
    or three days are over (PASSWORD_RESET_TIMEOUT), and is kept nowhere.
    """
    refuse_unless(by, rights.PEOPLE)
    member = Member.objects.select_for_update().get(pk=member.pk)
    if not member.is_active:
        raise HasLeft(member)
    member.code = default_token_generator.make_token(member)  # type: ignore[attr-defined]
    return member


def refuse_closed_link(member: Member | None, code: str) -> None:
    """Raise LinkClosed unless the code lets this person choose a new password."""
    if member is None or not member.is_active or not default_token_generator.check_token(member, code):
        raise LinkClosed("This link was used already, has run out, or a part of it was lost.")


@act("new password set", about="member", secret=("code", "password"))
def set_new_password(
    *, member: Member, code: str, password: str, by: None = None, key: UUID | None = None
) -> Member:
    """Choose a new password by a manager's link; the throttle on this name is lifted with it."""
    member = Member.objects.select_for_update().get(pk=member.pk)
    refuse_closed_link(member, code)
    reset(username=member.username)
    return _set(member, password)


def _set(member: Member, password: str) -> Member:
    refuse_weak(password, member)
    member.set_password(password)
    member.save(update_fields=["password"])
    return member
