"""Requests and batches in one list; one request, and what becomes of it."""

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from batches import queries
from batches.forms.requests import DeclineForm
from batches.models import Request
from batches.operations import requests as acts
from batches.planning import CannotBeMade
from batches.views.shown import shown
from studio.fields import ActForm
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import EACH_TIME, needs


def request_or_404(number: int) -> Request:
    """A request by its number, with what its pages name."""
    rows = Request.objects.select_related("version__recipe__current", "vessel", "by", "decided_by", "batch")
    return get_object_or_404(rows, number=number)


@needs("see")
@require_safe
def making(request: HttpRequest) -> HttpResponse:
    """What was asked for, what is being made, what was finished last."""
    return render(request, "batches/making.html", {"lists": queries.making()})


@needs("see")
@require_safe
def one(request: HttpRequest, number: int) -> HttpResponse:
    """One request: who wants what, what it comes to today, and the acts it waits for."""
    row = request_or_404(number)
    return render(request, "batches/request.html", _context(request, row, ActForm()))


@needs("make", at_tablet=EACH_TIME)
@require_POST
def approve(request: HttpRequest, number: int) -> HttpResponse:
    """Plan the batch and reserve every line."""
    row, form = request_or_404(number), bound(request, ActForm)
    return act_page(
        request,
        form,
        partial(acts.approve_request, request=row),
        template="batches/request.html",
        context=_context(request, row, form),
        then=lambda batch: reverse("batch", args=[batch.number]),
        said=lambda batch: f"Approved. Batch {batch.number} is planned and its materials are reserved.",
    )


@needs("ask")
@require_POST
def withdraw(request: HttpRequest, number: int) -> HttpResponse:
    """The asker no longer needs it."""
    row, form = request_or_404(number), bound(request, ActForm)
    return act_page(
        request,
        form,
        partial(acts.withdraw_request, request=row),
        template="batches/request.html",
        context=_context(request, row, form),
        then=lambda _: reverse("request", args=[number]),
        said="Withdrawn.",
    )


@needs("make")
def decline(request: HttpRequest, number: int) -> HttpResponse:
    """Say no, with a reason."""
    row = request_or_404(number)
    return act_page(
        request,
        bound(request, DeclineForm),
        partial(acts.decline_request, request=row),
        template="batches/decline.html",
        context={"asked": row},
        then=lambda _: reverse("request", args=[number]),
        said="Declined. The asker reads the reason here.",
    )


def _context(request: HttpRequest, row: Request, form: ActForm) -> dict:
    may = {
        "may_make": request.user.may(rights.MAKE),
        "own": row.by_id == request.user.pk,
        "asked": row,
        "form": form,
        "newer": _newer(row),
    }
    if row.state != Request.State.ASKED:
        return may
    try:
        return may | shown(acts.plan_of(row))
    except CannotBeMade as impossible:
        return may | {"impossible": impossible}


def _newer(row: Request):
    """The version in force when it is not the one asked for."""
    current = row.version.recipe.current
    return current if current is not None and current.pk != row.version_id else None
