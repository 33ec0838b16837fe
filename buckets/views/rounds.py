"""A round along the shelf on a phone: one bucket at a time, going on where it was left."""

from typing import Any

from django.contrib import messages
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from buckets.answers import answer_of
from buckets.forms.rounds import BeginRoundForm, StopForm
from buckets.models import Round
from buckets.operations.rounds import begin_round, end_round, stop_at
from buckets.queries import dip_check_of
from buckets.rounds import way_of
from studio.errors import Refused
from studio.fields import ActForm
from studio.pages import act_page, ask_again, bound, go, person
from studio.people.doors import needs
from studio.room import policy

LATELY = 20


@needs("see", post="use")
def rounds(request: HttpRequest) -> HttpResponse:
    """Begin a round, go on with one, or see who walked the last ones."""
    lately = (
        Round.objects.select_related("by").annotate(stopped=Count("stops")).order_by("-started_at", "-id")
    )
    return act_page(
        request,
        bound(request, BeginRoundForm),
        begin_round,
        template="buckets/rounds.html",
        context={"rounds": lately.order_by("-started_at", "-id")[:LATELY]},
        then=lambda row: reverse("round", args=[row.pk]),
    )


@needs("see", post="use")
def round_page(request: HttpRequest, pk: int) -> HttpResponse:
    """The bucket a round has come to. Posting does it and goes on to the next."""
    row = get_object_or_404(Round.objects.select_related("by"), pk=pk)
    form = bound(request, StopForm)
    if request.method == "POST" and form.is_valid():
        try:
            stop_at(round=row, by=person(request), **form.act_args())
        except Refused as refusal:
            ask_again(form, refusal)
        else:
            return go(request, reverse("round", args=[row.pk]))
    return _page(request, row, form)


def _page(request: HttpRequest, row: Round, form: ActForm, ending: ActForm | None = None) -> HttpResponse:
    way = way_of(row)
    context: dict[str, Any] = {"round": row, "way": way, "form": form, "ending": ending, "stops": _stops(row)}
    if way.here:
        now, rules = timezone.now(), policy.in_force()
        check = dip_check_of(way.here.fill, now, rules)
        context |= {
            "dip": check,
            "check": answer_of(way.here.fill, check, now, rules),
            "measure": check.answer == "measure first"
            or (check.reasons and check.reasons[0].code == "outside"),
        }
    return render(request, "buckets/round.html", context, status=422 if form.errors or ending else 200)


def _stops(row: Round) -> Any:
    return row.stops.select_related("vessel", "fill", "by").order_by("-id")


@needs("use")
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """The round is over."""
    row = get_object_or_404(Round, pk=pk)
    form = bound(request, ActForm)
    if request.method != "POST":
        return redirect("round", pk)
    if not form.is_valid():
        return _page(request, row, StopForm(), form)
    try:
        end_round(round=row, by=person(request), **form.act_args())
    except Refused as refusal:
        messages.warning(request, refusal.sentence)
    else:
        messages.success(request, f"The {row.get_kind_display()} is over. Thank you.")
    return go(request, reverse("today"))
