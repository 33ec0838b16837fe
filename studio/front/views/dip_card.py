"""How to dip: for everybody to read, and shown once to whoever is new."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme

from studio.fields import ActForm
from studio.pages import act_page, bound, person
from studio.people.doors import needs, open_to_all
from studio.people.operations import dip_card as seen
from studio.people.rights import OWN


@open_to_all
def dip_card(request: HttpRequest) -> HttpResponse:
    """The card, to read or to print."""
    return render(request, "front/dip_card.html", {"form": ActForm(), "fresh": fresh(request)})


def fresh(request: HttpRequest) -> bool:
    """Whether the reader has not said yet that they have read it."""
    reader = person(request)
    return reader is not None and not reader.is_room and reader.dip_card_at is None


@needs(OWN)
def dip_card_seen(request: HttpRequest) -> HttpResponse:
    """I have read it: back to where it was shown."""
    back = request.POST.get("next", "")
    here = url_has_allowed_host_and_scheme(back, {request.get_host()}, require_https=request.is_secure())
    return act_page(
        request,
        bound(request, ActForm),
        seen.dip_card_seen,
        template="front/dip_card.html",
        context={"fresh": fresh(request)},
        then=lambda _: back if here else "dip-card",
        said="Good. The card stays one tap away on every bucket.",
    )
