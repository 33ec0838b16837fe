"""Hydrometers, flow cups, calibrating a glass and a bucket with water, and which pair decides what."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.db import models
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from studio import words
from studio.calc.flow import CUPS
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.acts import story
from studio.people.doors import needs
from studio.room import pairs as of_room
from studio.room.calc.filling import LEVEL_CM
from studio.room.forms import gauges as forms
from studio.room.forms.kept import PlainForm
from studio.room.models import FlowCup, Glass, Hydrometer, Scale, Vessel
from studio.room.operations import calibration, flow_cups, hydrometers
from studio.room.policy import in_force

KINDS: dict[type[models.Model], str] = {Hydrometer: "hydrometer", FlowCup: "flow-cup"}
READING_ML = {Glass.Kind.FLASK: "0.1", Glass.Kind.CYLINDER: "0.5", Glass.Kind.VESSEL: "1"}


def _to(row: Any) -> str:
    return reverse(KINDS[type(row)], args=[row.pk])


def _shown(request: HttpRequest, row: Any, **more: Any) -> HttpResponse:
    kind = KINDS[type(row)]
    context = {"row": row, "kind": kind, "story": story(row)[:40], **more}
    context["may_change"] = request.user.may(rights.ROOM)  # type: ignore[union-attr]
    return render(request, f"room/{kind.replace('-', '_')}.html", context)


def _typed(
    request: HttpRequest, row: Any, kind: str, form: Any, do: Callable[..., Any], about: str
) -> HttpResponse:
    """The form of one instrument, new (``row`` None) or changed."""
    names = [name for name in form.base_fields if name != "key"]
    initial = {"initial": {name: getattr(row, name) for name in names}} if row else {}
    return act_page(
        request,
        bound(request, form, **initial),
        do,
        template="room/gauge_form.html",
        about={about: row} if row else {},
        context={"row": row, "kind": kind, "back": _to(row) if row else reverse("room")},
        then=_to,
        said=lambda it: (
            "Changed. What was read before stays as it was." if row else f"{it.name} is in the room."
        ),
    )


def _asked(request: HttpRequest, row: Any, do: Callable[..., Any], about: str, back: bool) -> HttpResponse:
    title = f"{row.name} back in use?" if back else f"Retire {row.name}?"
    lead = "It is offered again." if back else "It is not offered any more. What was read with it stays."
    return act_page(
        request,
        bound(request, PlainForm),
        do,
        template="room/form.html",
        about={about: row},
        context={
            "title": title,
            "lead": lead,
            "do": "Back in use" if back else "Retire it",
            "back": _to(row),
            "back_words": row.name,
        },
        then=_to,
        said=f"{row.name} is back in use." if back else f"{row.name} is retired.",
    )


# --- hydrometers


@needs(rights.SEE)
def hydrometer(request: HttpRequest, pk: int) -> HttpResponse:
    """One hydrometer: its scale, what it was made for, and how well it can know an SG."""
    row = get_object_or_404(Hydrometer, pk=pk)
    return _shown(request, row, doubt=of_room.doubt_of_hydrometer(row))


@needs(rights.ROOM)
def add_hydrometer(request: HttpRequest) -> HttpResponse:
    form = forms.HydrometerForm
    return _typed(request, None, "hydrometer", form, hydrometers.add_hydrometer, "hydrometer")


@needs(rights.ROOM)
def change_hydrometer(request: HttpRequest, pk: int) -> HttpResponse:
    row, form = get_object_or_404(Hydrometer, pk=pk), forms.HydrometerForm
    return _typed(request, row, "hydrometer", form, hydrometers.change_hydrometer, "hydrometer")


@needs(rights.ROOM)
def retire_hydrometer(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Hydrometer, pk=pk)
    return _asked(request, row, hydrometers.retire_hydrometer, "hydrometer", back=False)


@needs(rights.ROOM)
def bring_back_hydrometer(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Hydrometer, pk=pk)
    return _asked(request, row, hydrometers.bring_back_hydrometer, "hydrometer", back=True)


# --- flow cups


@needs(rights.SEE)
def flow_cup(request: HttpRequest, pk: int) -> HttpResponse:
    """One flow cup: its standard, and the seconds between which its equation holds."""
    row = get_object_or_404(FlowCup, pk=pk)
    return _shown(request, row, cup=CUPS.get(row.standard))


@needs(rights.ROOM)
def add_flow_cup(request: HttpRequest) -> HttpResponse:
    return _typed(request, None, "flow-cup", forms.FlowCupForm, flow_cups.add_flow_cup, "flow_cup")


@needs(rights.ROOM)
def change_flow_cup(request: HttpRequest, pk: int) -> HttpResponse:
    row, form = get_object_or_404(FlowCup, pk=pk), forms.FlowCupForm
    return _typed(request, row, "flow-cup", form, flow_cups.change_flow_cup, "flow_cup")


@needs(rights.ROOM)
def retire_flow_cup(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(FlowCup, pk=pk)
    return _asked(request, row, flow_cups.retire_flow_cup, "flow_cup", back=False)


@needs(rights.ROOM)
def bring_back_flow_cup(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(FlowCup, pk=pk)
    return _asked(request, row, flow_cups.bring_back_flow_cup, "flow_cup", back=True)


# --- water in a glass, water in a bucket


@needs(rights.ROOM)
def calibrate_glass(request: HttpRequest, pk: int) -> HttpResponse:
    """Led through: weigh it empty, weigh it with water, how warm is the water."""
    row = get_object_or_404(Glass, pk=pk)
    scales = list(Scale.objects.filter(retired_at=None).order_by("division_g"))
    initial = {"reading_ml": Decimal(READING_ML[Glass.Kind(row.kind)]), "empty_g": row.empty_g}
    if scales:
        initial["scale"] = scales[0].pk
    days = timedelta(days=float(in_force().calibration_days))

    def said(kept: Any) -> str:
        volume, tolerance = (words.number(x, 2) for x in (kept.volume_ml, kept.tolerance_ml))
        due = timezone.localdate(kept.at + days)
        return f"{row.name} holds {volume} mL ± {tolerance} mL. Weigh it again by {due:%Y-%m-%d}."

    return act_page(
        request,
        bound(request, forms.CalibrationForm, initial=initial),
        calibration.calibrate_glass,
        template="room/calibrate.html",
        about={"glass": row},
        context={"scales": scales, "last": row.calibrations.select_related("scale", "by").first()},
        then=lambda kept: reverse("glass", args=[row.pk]),
        said=said,
    )


@needs(rights.ROOM)
def measure_offset(request: HttpRequest, code: str) -> HttpResponse:
    """Two weighed water fills tell what the foot and the corners of a bucket add or take."""
    row = get_object_or_404(Vessel, code=code)
    return act_page(
        request,
        bound(request, forms.OffsetForm),
        calibration.measure_offset,
        template="room/offset.html",
        about={"vessel": row},
        context={"level_mm": LEVEL_CM * 10},
        then=lambda vessel: reverse("vessel", args=[vessel.code]),
        said=lambda vessel: (
            f"Measured less reckoned: {words.signed(vessel.offset_l, 'L')}. Depths count with it."
        ),
    )


# --- which pair decides which window


@needs(rights.SEE)
def pairs(request: HttpRequest) -> HttpResponse:
    """Every glass on every scale: how well it knows an SG, and which windows it can decide."""
    form = forms.AtForm(request.GET or None)
    sg = form.cleaned_data["sg"] if form.is_bound and form.is_valid() else of_room.ABOUT_SG
    return render(
        request,
        "room/pairs.html",
        {
            "form": form,
            "sg": sg,
            "pairs": of_room.every_pair(sg),
            "floats": of_room.every_hydrometer(sg),
            "windows": of_room.WINDOWS,
        },
        status=422 if form.is_bound and not form.is_valid() else 200,
    )
