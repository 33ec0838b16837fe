"""Labels that are out of date: what each says, what is known now, and printing it anew."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buckets.models import Fill
from safety.models import Container, Label
from studio.front.outdated import outdated
from studio.materials.models import Lot
from studio.pages import person
from studio.people.doors import needs
from studio.people.models import Member
from studio.people.rights import BINDER, WET

FILL, CONTAINER, LOT = (model._meta.label_lower for model in (Fill, Container, Lot))


@needs("see")
@require_safe
def labels_out_of_date(request: HttpRequest) -> HttpResponse:
    """The list, each with its way to a new label, and one button for all the buckets' labels."""
    rows: list[Any] = list(outdated())
    for label in rows:
        label.anew = anew(label, person(request))
    context = {
        "rows": rows,
        "fills": [label.on_id for label in rows if label.on_kind == FILL],
        "may_print": person(request).may(WET),
        "may_bind": person(request).may(BINDER),
    }
    return render(request, "front/labels_out_of_date.html", context)


def anew(label: Label, by: Member) -> str:
    """The page that prints a label of this kind anew, or "" where ``by`` may not print it.

    A working label and that of a cup go with what they are on: they have no page of their own.
    """
    if label.on_kind == FILL and by.may(WET):
        return f"{reverse('labels')}?fill={label.on_id}"
    if label.on_kind == CONTAINER and by.may(BINDER):
        return reverse("print-container-label", args=[label.on_id])
    if label.on_kind == LOT and by.may(BINDER):
        return reverse("print-lot-label", args=[label.content["lot"]])
    return ""
