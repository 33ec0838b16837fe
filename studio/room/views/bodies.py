"""Clay bodies: one body with what is known of it, added, changed, retired, back in use."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from studio.pages import act_page, bound
from studio.people import rights
from studio.people.acts import story
from studio.people.doors import needs
from studio.room.calc.bodies import wall_capacity
from studio.room.forms.bodies import BodyForm
from studio.room.forms.kept import PlainForm
from studio.room.models import Body
from studio.room.operations import bodies as acts


def _to(body: Body) -> str:
    return reverse("body", args=[body.pk])


@needs(rights.SEE)
def body(request: HttpRequest, pk: int) -> HttpResponse:
    """One body: what its wall drinks, how fast it dries, and its story."""
    row = get_object_or_404(Body, pk=pk)
    context = {
        "body": row,
        "capacity": _capacity(row),
        "story": story(row)[:40],
        "may_change": request.user.may(rights.ROOM),  # type: ignore[union-attr]
    }
    return render(request, "room/body.html", context)


def _capacity(row: Body) -> Any:
    """What one face of its usual wall takes, both faces glazed; None while something is not known."""
    if row.wall_mm is None or row.absorption_pct is None or row.bulk_density is None:
        return None
    return wall_capacity(
        wall_mm=float(row.wall_mm),
        absorption=float(row.absorption_pct) / 100,
        bulk_density=float(row.bulk_density),
        sides=2,
    )


@needs(rights.ROOM)
def add_body(request: HttpRequest) -> HttpResponse:
    return act_page(
        request,
        bound(request, BodyForm),
        acts.add_body,
        template="room/body_form.html",
        then=_to,
        said=lambda row: f"{row.name} is in the room.",
    )


@needs(rights.ROOM)
def change_body(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Body, pk=pk)
    return act_page(
        request,
        bound(request, BodyForm, initial=BodyForm.shows(row)),
        acts.change_body,
        template="room/body_form.html",
        about={"body": row},
        then=_to,
        said="Changed. Tiles keep the coat they were weighed with.",
    )


def _ask(request: HttpRequest, pk: int, act: Any, said: str, **words: str) -> HttpResponse:
    row = get_object_or_404(Body, pk=pk)
    context = {name: text.format(row.name) for name, text in words.items()}
    return act_page(
        request,
        bound(request, PlainForm),
        act,
        template="room/form.html",
        about={"body": row},
        context={**context, "back": _to(row), "back_words": row.name},
        then=_to,
        said=said.format(row.name),
    )


@needs(rights.ROOM)
def retire_body(request: HttpRequest, pk: int) -> HttpResponse:
    return _ask(
        request,
        pk,
        acts.retire_body,
        "{} is retired.",
        title="Retire {}?",
        lead="It is not offered for coats any more. Tiles dipped on it stay.",
        do="Retire it",
    )


@needs(rights.ROOM)
def bring_back_body(request: HttpRequest, pk: int) -> HttpResponse:
    return _ask(
        request,
        pk,
        acts.bring_back_body,
        "{} is back in use.",
        title="{} back in use?",
        lead="Coats can be reckoned for it again.",
        do="Back in use",
    )
