"""Seconds through a flow cup, and the particle density of a glaze measured."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from buckets.forms.acting import TakeBackForm
from buckets.forms.flow import DensityForm, FlowForm
from buckets.models import Density, Fill, Flow
from buckets.operations import density, flow
from buckets.queries import fill_in
from buckets.views.at import acted_on, bucket_url, units_of
from buckets.views.parts.measured import paces
from studio import words
from studio.calc.flow import CUPS
from studio.fields import ActForm
from studio.pages import act_page, bound, person
from studio.people import rights
from studio.people.doors import needs
from studio.room.models import FlowCup, Glass, Scale
from studio.room.policy import in_force

SHOWN = 40


@needs("see")
def flows(request: HttpRequest, code: str) -> HttpResponse:
    """How this fill flowed, and its particle density: what was timed and measured, newest first."""
    fill = fill_in(code)
    if fill is None:
        return redirect("bucket", code)
    by = person(request)
    timed = fill.flows.select_related("cup", "by", "replaced_by").order_by("-at", "-id")
    measured = fill.densities.select_related("glass", "by", "reversed_by").order_by("-at", "-id")
    rules = in_force()
    context = {
        "fill": fill,
        "code": code,
        "units": units_of(request),
        "flows": [row for row in timed[:SHOWN] if row.seconds is not None and not _marked(row)],
        "densities": [row for row in measured[:SHOWN] if row.reverses_id is None],
        "pace": paces(fill, rules),
        "rules": rules,
        "may_make": by.may(rights.MAKE),
        "may_use": by.may(rights.USE),
    }
    return render(request, "buckets/flows.html", context)


def _marked(row: Flow) -> bool:
    """Whether a later row says the same and that it is how it should flow: that one is shown."""
    after = getattr(row, "replaced_by", None)
    return after is not None and after.seconds is not None


@needs("use")
def record_flow(request: HttpRequest, code: str) -> HttpResponse:
    """Time it through a cup."""
    fill = acted_on(request, code)
    if fill is None and request.method != "POST":
        return redirect("bucket", code)
    cups = list(FlowCup.objects.filter(retired_at=None))
    usual = fill.flow_reference or fill.flow if fill else None
    cup = usual.cup_id if usual else cups[0].pk if len(cups) == 1 else None
    may_mark = person(request).may(rights.MAKE)
    return act_page(
        request,
        bound(request, FlowForm, fill=fill, may_mark=may_mark, initial={"cup": cup}),
        flow.record_flow,
        template="buckets/flow_form.html",
        about={"fill": fill},
        context={"code": code, "units": units_of(request), "cups": cups},
        then=lambda row: reverse("flows", args=[code]),
        said=_said,
    )


def _through(row: Flow) -> str:
    """ "34 s through The 4 mm cup"."""
    return f"{words.number(row.seconds or 0, 1, least=0)}{words.GAP}s through {row.cup.name}"


def _said(row: Flow) -> str:
    seconds = f"{_through(row)}."
    if row.viscosity_mm2_s is not None:
        return f"{seconds} Nominally {words.number(row.viscosity_mm2_s, 1)}{words.GAP}mm²/s."
    if row.cup.standard in CUPS:
        cup = CUPS[row.cup.standard]
        return (
            f"{seconds} That is outside the {cup.t_min_s:g} to {cup.t_max_s:g}{words.GAP}s this cup is made "
            "for, so the seconds alone are kept."
        )
    return f"{seconds} The seconds alone are kept."


@needs("make")
def measure_density(request: HttpRequest, code: str) -> HttpResponse:
    """Dry a known volume of it, and weigh what is left."""
    fill = acted_on(request, code)
    if fill is None and request.method != "POST":
        return redirect("bucket", code)
    glasses = list(Glass.objects.filter(retired_at=None))
    scales = list(Scale.objects.filter(retired_at=None).order_by("division_g"))
    initial: dict[str, Any] = {}
    if len(glasses) == 1:
        initial |= {"glass": glasses[0].pk, "tare_g": glasses[0].empty_g}
    if scales:
        initial["scale"] = scales[0].pk
    return act_page(
        request,
        bound(request, DensityForm, fill=fill, initial=initial),
        density.measure_density,
        template="buckets/density_form.html",
        about={"fill": fill},
        context={"code": code, "units": units_of(request)},
        then=lambda row: reverse("flows", args=[code]),
        said=lambda row: (
            f"Its powder has {words.number(row.particle_density, 3)}{words.GAP}g/mL "
            f"± {words.number(2 * row.u, 3)}{words.GAP}g/mL. It counts from now on, and for later fills."
        ),
    )


def _of(model: Any, code: str, pk: int) -> Any:
    return get_object_or_404(
        model.objects.select_related("fill__vessel", "cup"), pk=pk, fill__vessel__code=code
    )


@needs("use")
def take_back_flow(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A flow timed wrong."""
    row = _of(Flow, code, pk)
    return _back(request, code, row, flow.take_back_flow, "flow", _through(row))


@needs("make")
def take_back_density(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A particle density measured wrong."""
    row = get_object_or_404(Density.objects.select_related("fill__vessel"), pk=pk, fill__vessel__code=code)
    what = f"particle density {words.number(row.particle_density, 3)}{words.GAP}g/mL"
    return _back(request, code, row, density.take_back_density, "density", what)


def _back(
    request: HttpRequest, code: str, row: Flow | Density, do: Any, about: str, what: str
) -> HttpResponse:
    return act_page(
        request,
        bound(request, TakeBackForm),
        do,
        template="buckets/act.html",
        about={about: row},
        context={
            "code": code,
            "title": f"Take back: {what}",
            "lead": "It stays on record, with your reason beside it.",
            "button": "Take it back",
            "icon": "back",
        },
        then=lambda _: reverse("flows", args=[code]),
        said="Taken back. What the bucket shows was worked out again.",
    )


@needs("make")
def mark_flow_reference(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """This is how it should flow."""
    row = _of(Flow, code, pk)
    fill: Fill = row.fill
    return act_page(
        request,
        bound(request, ActForm),
        flow.mark_flow_reference,
        template="buckets/act.html",
        about={"flow": row},
        context={
            "code": code,
            "title": "This is how it should flow",
            "lead": f"{fill.glaze} is held against {_through(row)} from now on.",
            "button": "Hold it against this",
            "icon": "tick",
        },
        then=lambda _: bucket_url(code),
        said="Kept as how it should flow.",
    )
