"""Containers and lots that bear a label of their own."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from safety.forms.containers import CapacityForm, ContainerForm, GoneForm
from safety.models import Container, Label
from safety.operations import containers as acts
from safety.operations.labels import labels_in_force
from studio.materials.models import Lot
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.acts import story
from studio.people.doors import needs
from studio.room.forms.kept import PlainForm

KIND, LOT = Container._meta.label_lower, Lot._meta.label_lower
AT_ONCE = 50


def _to(row: Container) -> str:
    return reverse("container", args=[row.pk])


def _printed(label: Label) -> str:
    return f"{reverse('labels')}?printed={label.serial}"


@needs(rights.SEE)
def containers(request: HttpRequest) -> HttpResponse:
    """Tubs, pots, tiles and waste that are here, each with the label in force."""
    shown = "gone" if request.GET.get("shown") == "gone" else "here"
    rows = Container.objects.filter(gone_at__isnull=shown == "here").select_related("lot")
    page = _number(request.GET.get("page"))
    found = list(rows[(page - 1) * AT_ONCE : page * AT_ONCE + 1])
    in_force = labels_in_force(KIND, [row.pk for row in found])
    for row in found:
        row.label = in_force.get(row.pk)  # type: ignore[attr-defined]
    context = {
        "rows": found[:AT_ONCE],
        "next": page + 1 if len(found) > AT_ONCE else None,
        "shown": shown,
        "may": request.user.may(rights.BINDER),  # type: ignore[union-attr]
    }
    return render(request, "safety/containers.html", context)


def _number(typed: str | None) -> int:
    return int(typed) if typed and typed.isascii() and typed.isdigit() and 0 < int(typed[:6]) < 100_000 else 1


@needs(rights.SEE)
def container(request: HttpRequest, pk: int) -> HttpResponse:
    """One container: what is in it, its label, what it can do, its story."""
    row = get_object_or_404(Container.objects.select_related("lot__material"), pk=pk)
    label = Label.objects.filter(on_kind=KIND, on_id=row.pk).order_by("-id").first()
    context = {
        "container": row,
        "label": label,
        "hazards": label.content.get("hazards") if label else None,
        "story": story(row)[:40],
        "may": request.user.may(rights.BINDER),  # type: ignore[union-attr]
    }
    return render(request, "safety/container.html", context)


@needs(rights.BINDER)
def add_container(request: HttpRequest) -> HttpResponse:
    lot = Lot.objects.filter(code=request.GET.get("lot", "")).first()
    return act_page(
        request,
        bound(request, ContainerForm, initial={"lot": lot, "kind": request.GET.get("kind", "")}),
        acts.add_container,
        template="room/form.html",
        context={
            "title": "Label a tub, a pot, tiles or waste",
            "lead": "It gets a label with the hazards of what is in it, and a serial of its own.",
            "do": "Print its label",
            "back": reverse("containers"),
            "back_words": "Tubs and waste",
        },
        then=_to,
        said=lambda row: f"{row.what} has its label: print it, stick it on, scan it there.",
    )


@needs(rights.BINDER)
def print_container_label(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Container, pk=pk)
    return act_page(
        request,
        bound(request, PlainForm),
        _without_raw(acts.print_container_label),
        template="room/form.html",
        about={"container": row},
        context={
            "title": f"A new label for {row.what}",
            "lead": "It says what is known today. The one before becomes void: take it off.",
            "do": "Print a new label",
            "back": _to(row),
            "back_words": row.what,
        },
        then=_printed,
    )


def _without_raw(act: Any) -> Any:
    def do(*, raw: str, **told: Any) -> Any:
        return act(**told)

    return do


@needs(rights.BINDER)
def container_gone(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Container, pk=pk)
    return act_page(
        request,
        bound(request, GoneForm),
        acts.container_gone,
        template="room/form.html",
        about={"container": row},
        context={
            "title": f"{row.what} is gone",
            "lead": "Its label becomes void: take it off the container before it is used again.",
            "do": "It is gone",
            "back": _to(row),
            "back_words": row.what,
        },
        then=_to,
        said=f"Noted: {row.what} is gone.",
    )


@needs(rights.BINDER)
def print_lot_label(request: HttpRequest, code: str) -> HttpResponse:
    row = get_object_or_404(Lot.objects.select_related("material"), code=code)
    before = Label.objects.filter(on_kind=LOT, on_id=row.pk).order_by("-id").first()
    return act_page(
        request,
        bound(request, CapacityForm, initial={"capacity_l": before.content["capacity_l"]} if before else {}),
        acts.print_lot_label,
        template="room/form.html",
        about={"lot": row},
        context={
            "title": f"A label for lot {row.code}",
            "lead": f"{row.material.name}. Keep the supplier's own label on the bag, too.",
            "do": "Print its label",
            "back": reverse("lot", args=[row.code]),
            "back_words": f"Lot {row.code}",
        },
        then=_printed,
    )
