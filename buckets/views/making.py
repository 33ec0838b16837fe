"""Making glaze into a bucket: ask, begin, abandon, pour."""

from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from batches import planning, standing
from batches.models import Batch, Request
from batches.operations.requests import ask_for_glaze
from batches.planning import CannotBeMade
from batches.views.shown import shown
from buckets.advice import newest_reading
from buckets.forms.asking import AMOUNTS, AskForm, first_words, what_is_in
from buckets.forms.making import AbandonForm, BeginForm, PourForm, fill_of
from buckets.forms.pickers import anything_makeable
from buckets.models import Fill
from buckets.operations import pouring
from buckets.queries import change_of
from studio.errors import Refused
from studio.pages import act_page, ask_again, bound, go, person
from studio.people.doors import needs
from studio.room.policy import in_force

Kind = Request.Wish
WAYS = ((Kind.LITRES, "In litres"), (Kind.DRY_TOTAL, "As dry mass"), (Kind.BRING_TO, "Bring a bucket up"))


@needs("ask")
def ask(request: HttpRequest) -> HttpResponse:
    """A wish, what it comes to, and sending it. The address holds the wish, so it can be passed on.

    With ``change`` in the address the wish is shown to be typed over instead.
    """
    typed = _typed(request)
    form = AskForm(typed, initial=first_words(request.GET) if typed is None else None)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid() and (sent := _send(request, form)) is not None:
            return sent
    context = _ask_context(form, change="change" in request.GET)
    return render(request, "buckets/ask.html", context, status=status)


def _typed(request: HttpRequest) -> QueryDict | None:
    """What was typed: posted, or in an address that carries an amount (with a key, so that it is whole)."""
    if request.method == "POST":
        return request.POST
    if not any(name in request.GET for name in AMOUNTS):
        return None
    typed = request.GET.copy()
    typed["key"] = str(uuid4())
    return typed


def _send(request: HttpRequest, form: AskForm) -> HttpResponse | None:
    try:
        row = ask_for_glaze(by=person(request), **form.act_args())
    except CannotBeMade:
        return None  # the page works it out once more and says what would work
    except Refused as refusal:
        ask_again(form, refusal)
        return None
    messages.success(request, f"Asked: request {row.number}. A technician decides about it.")
    return go(request, reverse("request", args=[row.number]))


def _ask_context(form: AskForm, *, change: bool) -> dict[str, Any]:
    kind = form["wish"].value()
    context: dict[str, Any] = {
        "form": form,
        "kind": kind if kind in Kind.values else Kind.LITRES,
        "ways": WAYS,
        "makes_nothing": not form.is_bound and not anything_makeable(),
    }
    form.is_valid()  # a refused day or reason still lets the wish be shown
    form.dress(context["kind"])
    if form.asked is None or change:
        return context
    context |= {"vessel": form.cleaned_data["vessel"], "version": form.cleaned_data["version"]}
    context["change"] = urlencode([*form.to_send(), ("change", 1)])
    context |= _what_was_there(form.there, form.taken_from_page)
    try:
        return context | shown(form.plan(in_force()))
    except CannotBeMade as impossible:
        form.add_error(impossible.field if impossible.field in form.fields else None, impossible.why)
        return context | {"impossible": impossible}


def _what_was_there(there: Fill | None, taken: bool = True) -> dict[str, Any]:
    if there is None:
        return {}
    reading = newest_reading(there)
    return {
        "there": there,
        "reading": reading,
        "taken_from_page": taken,
        "changed": change_of(there) if reading else None,
    }


@needs("weigh")
def begin(request: HttpRequest, number: str) -> HttpResponse:
    """The bucket measured again, the restated numbers, then weighing begins."""
    batch = _batch_or_404(number)
    if batch.state != Batch.State.PLANNED:
        return redirect("batch", number)
    there = fill_of(batch)
    form = BeginForm(_measured(request, there), batch=batch, there=there)
    return act_page(
        request,
        form,
        pouring.begin_batch,
        template="buckets/begin.html",
        about={"batch": batch},
        context=_begin_context(batch, there, form),
        then=lambda row: reverse("bench", args=[row.number]),
        said="Lines, water and reservations are frozen now. Water first.",
    )


def _measured(request: HttpRequest, there: Fill | None) -> QueryDict | None:
    """What was measured: posted, or in an address that carries it. Of an empty bucket nothing is asked."""
    if request.method == "POST":
        return request.POST
    if there is not None and "sg" not in request.GET:
        return None
    typed = request.GET.copy()
    typed["key"] = str(uuid4())
    return typed


def _begin_context(batch: Batch, there: Fill | None, form: BeginForm) -> dict[str, Any]:
    context = _what_was_there(there) | {"vessel": batch.vessel}
    if not form.is_bound or not form.is_valid():
        return context
    try:
        plan = planning.restated(
            batch,
            old_volume_l=form.cleaned_data["told_l"],
            old_sg=form.cleaned_data["sg"] if there else None,
        )
    except CannotBeMade as impossible:
        form.add_error(None, impossible.why)
        return context | {"impossible": impossible}
    before = {line.position: line.target_g for line in batch.lines.all()}
    changed = any(line.target_g != before.get(line.position) for line in plan.lines)
    return context | shown(plan, before=before) | {"restated": changed or plan.water_l != batch.water_l}


@needs("make")
def abandon(request: HttpRequest, number: str) -> HttpResponse:
    """Give a batch up."""
    batch = _batch_or_404(number)
    form = bound(request, AbandonForm)
    if not batch.old_volume_l or batch.state == Batch.State.PLANNED:
        del form.fields["mixed"]
    return act_page(
        request,
        form,
        pouring.abandon_in_bucket,
        template="buckets/abandon.html",
        about={"batch": batch},
        then=lambda row: reverse("batch", args=[row.number]),
        said=lambda row: f"Batch {row.number} is abandoned. What was still reserved is free again.",
    )


@needs("make")
def pour(request: HttpRequest, number: str) -> HttpResponse:
    """Pour a batch: what will be so is said before."""
    batch = _batch_or_404(number)
    now = standing.standing(batch)
    old = what_is_in(batch.vessel) if batch.vessel and batch.old_volume_l else None
    start = {"vessel": batch.vessel.code if batch.vessel else "", "volume_l": now.reading_volume_l}
    return act_page(
        request,
        bound(request, PourForm, initial=start),
        pouring.pour_batch,
        template="buckets/pour.html",
        about={"batch": batch},
        context={"now": now, "old": old},
        then=lambda fill: reverse("bucket", args=[fill.vessel.code]),
        said=lambda fill: (
            f"{fill.vessel.code} holds a new fill of {fill.glaze}, in testing until its tile is good. "
            "Its new label is ready to print."
        ),
    )


def _batch_or_404(number: str) -> Batch:
    rows = Batch.objects.select_related("vessel", "version__recipe", "request")
    return get_object_or_404(rows, number=number)
