"""Tokens: a person's keys for programs that use the API in their name."""

import secrets
from uuid import UUID

from django.utils import timezone

from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.api_auth import digest_of
from studio.people.doors import refuse_unless
from studio.people.models import Member, Token


@act("token made", about="by")
def make_token(*, name: str, by: Member, key: UUID | None = None) -> Token:
    """Make a token of one's own.

    The row comes back with ``secret``, which is kept nowhere: a repeat of the act has none.
    """
    refuse_unless(by, rights.OWN)
    secret = secrets.token_urlsafe(32)
    token = Token.objects.create(member=by, name=name.strip(), digest=digest_of(secret))
    token.secret = secret  # type: ignore[attr-defined]
    return token


@act("token revoked", about="token")
def revoke_token(*, token: Token, by: Member, key: UUID | None = None) -> Token:
    """Make a token useless, one's own or, for a manager, anybody's."""
    refuse_unless(by, rights.OWN)
    token = Token.objects.select_for_update().get(pk=token.pk)
    if token.member_id != by.pk:
        refuse_unless(by, rights.PEOPLE)
    if token.revoked_at:
        raise Refused(f"The token “{token.name}” is revoked already.")
    token.revoked_at = timezone.now()
    token.save(update_fields=["revoked_at"])
    return token
