"""The binder's front page: what is missing or due first, then a door to everything that is in it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from safety.hazards import labels_out_of_date
from safety.sheets import sheet_states
from studio.materials.models import Material
from studio.people import rights
from studio.people.doors import needs
from studio.room import policy

FIRST = 12


@needs(rights.SEE)
def binder(request: HttpRequest) -> HttpResponse:
    """Gaps, then doors."""
    materials = list(Material.objects.filter(state=Material.State.CURRENT))
    states = sheet_states([row.pk for row in materials], timezone.localdate(), policy.in_force())
    gaps = [
        {"material": row, "state": states[row.pk]} for row in materials if states[row.pk].word != "current"
    ]
    gaps.sort(key=lambda row: row["state"].word != "missing")  # type: ignore[attr-defined]
    context = {
        "gaps": gaps[:FIRST],
        "more": max(0, len(gaps) - FIRST),
        "materials": len(materials),
        "outdated": len(labels_out_of_date()),
        "may": request.user.may(rights.BINDER),  # type: ignore[union-attr]
    }
    return render(request, "front/binder.html", context)
