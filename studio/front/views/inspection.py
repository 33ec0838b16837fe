"""The inspection pack, on a page and as PDF: what is missing first, then all that is on file."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from studio.front.inspection import read, sections_of
from studio.people.doors import needs
from studio.people.rights import BINDER, PRIVATE
from studio.printing import paper


@needs(BINDER)
@require_safe
def inspection(request: HttpRequest) -> HttpResponse:
    """The page."""
    return render(request, "front/inspection.html", _pack(request))


@needs(BINDER)
@require_safe
def inspection_pdf(request: HttpRequest) -> HttpResponse:
    """The same on paper. Everything is read before the first line is drawn, and no transaction is open."""
    return paper(request, "print/inspection.html", _pack(request), "inspection")


def _pack(request: HttpRequest) -> dict[str, Any]:
    """Injuries are counted for the manager, and for nobody at the room's tablet: a PIN does not open them."""
    user: Any = request.user
    injuries = user.holds(PRIVATE) and request.tablet.room is None  # type: ignore[attr-defined]
    return sections_of(read(timezone.now(), injuries=injuries))
