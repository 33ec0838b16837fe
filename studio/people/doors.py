"""Doors: every page and API address is closed unless its view says which right opens it."""

from collections.abc import Callable
from typing import Any

from studio.errors import NotAllowed
from studio.people import rights

OPEN = "open"


def needs(right: str, *, post: str | None = None) -> Callable[[Any], Any]:
    """Open a view to people who hold ``right`` (``post`` for unsafe methods, when it differs)."""
    for name in (right, post or right):
        if name not in rights.WORDS:
            raise ValueError(f"unknown right {name!r}")

    def mark(view: Any) -> Any:
        view.right, view.post_right = right, post or right
        return view

    return mark


def open_to_all(view: Any) -> Any:
    """Open a view to anybody, signed in or not; the view itself hides what is private."""
    view.right = view.post_right = OPEN
    return view


def right_of(view: Any, method: str) -> str | None:
    """The right that opens this view for this method, OPEN, or None when nobody said."""
    view = getattr(view, "cls", None) or getattr(view, "view_class", None) or view
    name = "right" if method in ("GET", "HEAD", "OPTIONS") else "post_right"
    return getattr(view, name, None) or getattr(view, "right", None)


def refuse_unless(person: Any, right: str) -> None:
    """Raise NotAllowed naming the right that is missing."""
    if not (person and person.is_authenticated and person.may(right)):
        raise NotAllowed(f"You need the right {rights.WORDS[right]}. Ask a manager or technician.")
