"""The shared tablet: choosing one's name ahead of an act, and being done."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from studio.pages import go
from studio.people import rights
from studio.people.doors import needs


@needs(rights.OWN)
@require_safe
def who(request: HttpRequest) -> HttpResponse:
    """Whoever gets here has said who they are (the door asks); on to where they were."""
    to = request.GET.get("next", "")
    ours = to.startswith("/") and url_has_allowed_host_and_scheme(to, allowed_hosts=None)
    return redirect(to if ours else "/")


@needs(rights.SEE)
@require_POST
def done(request: HttpRequest) -> HttpResponse:
    """Done at the tablet: it is the room's again, at once."""
    request.tablet.give_back()  # type: ignore[attr-defined]
    return go(request, "/")
