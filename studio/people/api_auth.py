import hashlib

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import BasePermission
from rest_framework.throttling import SimpleRateThrottle

from studio.people import rights
from studio.people.doors import OPEN, right_of
from studio.people.models import Token


def digest_of(secret: str) -> str:
    """What is kept of a token or invitation code: its SHA-256 (the secret is long and random)."""
    return hashlib.sha256(secret.encode()).hexdigest()


class TokenAuthentication(BaseAuthentication):
    """``Authorization: Bearer <token>``, one token per person and program."""

    def authenticate(self, request):
        parts = get_authorization_header(request).split()
        if not parts or parts[0].lower() != b"bearer":
            return None
        if len(parts) != 2:
            raise AuthenticationFailed("Send the token as: Authorization: Bearer <token>.")
        secret = parts[1].decode("ascii", "replace")
        token = (
            Token.objects.select_related("member")
            .filter(digest=digest_of(secret), revoked_at=None, member__is_active=True)
            .first()
        )
        if token is None:
            raise AuthenticationFailed("This token is unknown or revoked.")
        return token.member, token

    def authenticate_header(self, request):
        return "Bearer"


class PaceOfToken(SimpleRateThrottle):
    """A program that runs wild leaves room for people: so many requests a minute with one token."""

    rate = "600/min"

    def get_cache_key(self, request, view):
        return f"pace-of-token-{request.auth.pk}" if isinstance(request.auth, Token) else None


class TokenScheme(OpenApiAuthenticationExtension):
    target_class = TokenAuthentication
    name = "token"

    def get_security_definition(self, auto_schema):
        return {"type": "http", "scheme": "bearer", "description": "a token of your own page"}


class RightOfView(BasePermission):
    """The view's own right, from the same table as the pages."""

    def has_permission(self, request, view):
        right = right_of(type(view), request.method)
        if right == OPEN:
            return True
        if right is None or not (request.user and request.user.is_authenticated):
            return False
        if request.user.is_room or (request.auth is None and request._request.tablet.room):
            self.message = "The room's tablet uses the pages; programs use a token of a person."
            return False
        self.message = f"You need the right {rights.WORDS[right]}."
        return request.user.holds(right)
