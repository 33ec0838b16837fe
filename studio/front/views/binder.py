"""The binder's front page: what is missing or due first, then a door to everything that is in it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from studio.front.inspection import gaps_in, read
from studio.front.inspection.gaps import LACKS, LET_THROUGH
from studio.people import rights
from studio.people.doors import needs

FIRST = 8  # of each head
NOT_FOR_ALL = ("People", "Spills and injuries")


@needs(rights.SEE)
def binder(request: HttpRequest) -> HttpResponse:
    """The first gaps of each head, then doors. People and spills are told to those who see to them.

    What sheets lack beside their date, and what was let through before, is left to the inspection pack.
    """
    facts, user = read(timezone.now(), injuries=False), request.user
    may = user.may(rights.BINDER)  # type: ignore[union-attr]
    found = gaps_in(facts)
    left_out = {LACKS, LET_THROUGH, *(() if may else NOT_FOR_ALL)}
    gaps: dict[str, Any] = {head: rows for head, rows in found.items() if head not in left_out}
    context = {
        "gaps": {head: rows[:FIRST] for head, rows in gaps.items()},
        "more": {head: len(rows) - FIRST for head, rows in gaps.items() if len(rows) > FIRST},
        "materials": len(facts.materials),
        "may": may,
    }
    return render(request, "front/binder.html", context)
