"""PINs: one's own set and changed, anybody's removed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from studio.fields import ActForm
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import NEVER, needs
from studio.people.forms.pins import SetPin
from studio.people.models import Member
from studio.people.operations import pins


@needs(rights.OWN, at_tablet=NEVER)
@never_cache
@sensitive_post_parameters()
def set_pin(request: HttpRequest) -> HttpResponse:
    """Set or change one's own PIN for the room's tablet."""
    return act_page(
        request,
        bound(request, SetPin),
        pins.set_pin,
        template="people/set_pin.html",
        context={"back": reverse("me")},
        then=lambda row: "me",
        said="Your PIN is set. At the room's tablet, choose your name and type it.",
    )


@needs(rights.OWN)
def remove_own_pin(request: HttpRequest) -> HttpResponse:
    """Remove one's own PIN."""
    member = Member.objects.get(pk=request.user.pk)
    return _remove(request, member, "Remove your PIN?", "Your PIN is removed.", "me")


@needs(rights.ROOM)
def remove_pin(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove somebody's PIN, as a technician."""
    member = get_object_or_404(Member, pk=pk)
    said = f"The PIN of {member} is removed; they can set another."
    return _remove(request, member, f"Remove the PIN of {member}?", said, "people")


def _remove(request: HttpRequest, member: Member, question: str, said: str, back: str) -> HttpResponse:
    return act_page(
        request,
        bound(request, ActForm),
        pins.remove_pin,
        template="people/confirm.html",
        about={"member": member},
        context={
            "question": question,
            "says": "The room's tablet no longer offers the name. The password goes on working.",
            "yes": "Remove it",
            "back": reverse(back),
        },
        then=lambda row: reverse(back),
        said=said,
    )
