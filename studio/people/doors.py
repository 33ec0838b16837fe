"""Doors: every page and API address is closed unless its view says which right opens it."""

from collections.abc import Callable
from typing import Any, Literal

from studio.errors import NotAllowed
from studio.people import rights

OPEN = "open"
# At the room's tablet a PIN opens what a person may for ten minutes; some acts ask for it each time,
# and some are done only where one signs in with one's password.
AtTablet = Literal["held", "each time", "never"]
HELD: AtTablet = "held"
EACH_TIME: AtTablet = "each time"
NEVER: AtTablet = "never"


def needs(right: str, *, post: str | None = None, at_tablet: AtTablet = HELD) -> Callable[[Any], Any]:
    """Open a view to people who hold ``right`` (``post`` for unsafe methods, when it differs)."""
    for name in (right, post or right):
        if name not in rights.WORDS:
            raise ValueError(f"unknown right {name!r}")

    def mark(view: Any) -> Any:
        view.right, view.post_right, view.at_tablet = right, post or right, at_tablet
        return view

    return mark


def open_to_all(view: Any) -> Any:
    """Open a view to anybody, signed in or not; the view itself hides what is private."""
    view.right = view.post_right = OPEN
    return view


def _marked(view: Any) -> Any:
    return getattr(view, "cls", None) or getattr(view, "view_class", None) or view


def right_of(view: Any, method: str) -> str | None:
    """The right that opens this view for this method, OPEN, or None when nobody said."""
    view = _marked(view)
    name = "right" if method in ("GET", "HEAD", "OPTIONS") else "post_right"
    return getattr(view, name, None) or getattr(view, "right", None)


def at_tablet(view: Any, method: str) -> AtTablet:
    """What a PIN is worth at this view; to look at an act is less than to do it."""
    said: AtTablet = getattr(_marked(view), "at_tablet", HELD)
    if right_of(view, method) in rights.ONLY_WITH_PASSWORD:
        return NEVER
    return HELD if said == EACH_TIME and method != "POST" else said


def refuse_unless(person: Any, right: str) -> None:
    """Raise NotAllowed naming the right that is missing."""
    if not (person and person.is_authenticated and person.holds(right)):
        raise NotAllowed(f"You need the right {rights.WORDS[right]}. Ask a manager or technician.")
