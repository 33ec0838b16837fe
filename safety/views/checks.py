"""Safety checks: how each stands, what was found, and the acts that record one."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from safety import checks as asked
from safety.forms.checks import CheckForm, CleanedForm, CorrectForm
from safety.models import SafetyCheck
from safety.operations import checks as acts
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import needs
from studio.room import policy

LAST = 20
Kind = SafetyCheck.Kind


def may_read(rows: Any, person: Any) -> Any:
    """Those of ``rows`` that a person may read: another's respirator is for who keeps the binder."""
    if person.holds(rights.BINDER):
        return rows
    return rows.exclude(kind=Kind.RESPIRATOR) | rows.filter(kind=Kind.RESPIRATOR, person=person)


@needs(rights.SEE)
def checks(request: HttpRequest) -> HttpResponse:
    """What is due, whose respirator waits, and what was found lately."""
    person: Any = request.user
    today, rules = timezone.localdate(), policy.in_force()
    keeps = person.may(rights.BINDER)
    respirators = [row for row in asked.respirators(today, rules) if keeps or row.person == person]
    looked = asked.of_the_room(today, rules)
    rows = may_read(SafetyCheck.objects.filter(asked.STANDS), person).select_related("by", "person")
    context = {
        "looked": looked,
        "not_used": [(row, check) for row in looked for check in row.against],
        "not_worn": [row for row in respirators if row.not_to_be_used],
        "respirators": respirators,
        "respirator_days": asked.days_of(Kind.RESPIRATOR, rules),
        "respirator_look": asked.LOOK_AT[Kind.RESPIRATOR],
        "rows": rows.order_by("-at", "-id")[:LAST],
        "may": keeps,
        "may_tick": person.may(rights.USE),
    }
    return render(request, "safety/checks.html", context)


def _to_checks(row: SafetyCheck) -> str:
    return reverse("checks")


@needs(rights.SEE, post=rights.USE)
def tick_cleaning(request: HttpRequest) -> HttpResponse:
    """How this room is cleaned, and the tap that says it was."""
    return act_page(
        request,
        bound(request, CleanedForm),
        acts.tick_cleaning,
        template="safety/cleaned.html",
        context={"days": asked.days_of(Kind.CLEANING, policy.in_force())},
        then=_to_checks,
        said="Noted: the room was cleaned wet.",
    )


def _noted(row: SafetyCheck) -> str:
    if row.good:
        return f"Noted: {row.get_kind_display()}, in order."
    return f"Noted: {row.get_kind_display()}, not in order. {asked.UNTIL_IN_ORDER[row.kind]}"


@needs(rights.BINDER)
def record_check(request: HttpRequest) -> HttpResponse:
    """A look at cleaning, filters, extraction, trap or somebody's respirator."""
    shows = {name: request.GET.get(name, "") for name in ("kind", "person", "place")}
    return act_page(
        request,
        bound(request, CheckForm, initial=shows),
        acts.record_check,
        template="safety/record_check.html",
        context={"look_at": [(Kind(kind_).label, said) for kind_, said in asked.LOOK_AT.items()]},
        then=_to_checks,
        said=_noted,
    )


@needs(rights.BINDER)
def correct_check(request: HttpRequest, pk: int) -> HttpResponse:
    """What was really found; the row that was wrong stays beside it."""
    check = get_object_or_404(SafetyCheck.objects.select_related("by", "person"), pk=pk)
    shows = {"good": "yes" if check.good else "no", "found": check.found, "place": check.place}
    return act_page(
        request,
        bound(request, CorrectForm, initial=shows),
        acts.correct_check,
        about={"check": check},
        template="safety/correct_check.html",
        then=_to_checks,
        said="Corrected. What stood there before is kept.",
    )
