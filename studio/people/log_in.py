"""Names people sign in with, and the secrets behind links and tokens."""

import unicodedata
from typing import Any

from django.contrib.auth import password_validation
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from studio.errors import Refused
from studio.people.models import Member


def username_of(text: str) -> str:
    """One spelling for a name to sign in with: "Bram ", "BRAM" and full-width letters are all "bram"."""
    return unicodedata.normalize("NFKC", text).strip().lower()


def username_tried(request: HttpRequest, credentials: dict[str, Any] | None) -> str:
    """The name the throttle counts under: other spellings of it must not be other counts."""
    typed = (credentials or {}).get("username") or request.POST.get("username") or ""
    return username_of(str(typed))[:40]


def refuse_weak(password: str, member: Member) -> None:
    """Raise Refused, saying why, when a password is short, common, all digits or much like the name."""
    try:
        password_validation.validate_password(password, member)
    except ValidationError as problem:
        raise Refused(" ".join(problem.messages), field="password") from problem
