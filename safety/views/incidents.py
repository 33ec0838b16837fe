"""Spills and injuries: what to do first, the report, and the pages of those who may read them."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.debug import sensitive_post_parameters

from safety import incidents as asked
from safety.forms.incidents import AftermathForm, InjuryForm, SpillForm
from safety.labelling.hazard_part import worded
from safety.models import Incident, Sheet
from safety.operations import incidents as acts
from safety.statements import wording_of
from studio.materials.models import Material
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import needs
from studio.room import details

AT_ONCE = 50
# Words of CLP or the UN text, as statements.csv has them.
FIRST_AID = ("P305+P351+P338", "P302+P352", "P304+P340", "P301+P330+P331")


@needs(rights.SEE, post=rights.STIR)
@sensitive_post_parameters()
def report_spill(request: HttpRequest) -> HttpResponse:
    """What to do with a spill, then one tap that reports it; anybody may, at the tablet without a name."""
    material = _material(request)
    context = {
        "details": details.in_force(),
        "kinds": [(word, word.capitalize()) for word in asked.SPILLED],
        "material": material,
        "materials": Material.objects.order_by("name").values_list("pk", "name"),
        "sheet": _sheet(material),
        "may_read": _may(request, rights.BINDER),
        "may_room": _may(request, rights.ROOM),
    }
    return act_page(
        request,
        bound(request, SpillForm, initial={"material": material}),
        acts.report_spill,
        template="safety/report_spill.html",
        context=context,
        then=lambda row: _again("report-spill", row),
        said=lambda row: f"Reported as {row}. A technician is told. Go on cleaning it up, wet.",
    )


@needs(rights.SEE, post=rights.STIR)
@sensitive_post_parameters()
def report_injury(request: HttpRequest) -> HttpResponse:
    """Whom to call and first aid, then the report that only managers read; anybody may write one."""
    stands = details.in_force()
    material = _material(request)
    context = {
        "details": stands,
        "first_aid": worded(FIRST_AID, stands.law, {}),
        "wording": "the UN text" if wording_of(stands.law) == "GHS" else "CLP",
        "kinds": [(word, word.capitalize()) for word in asked.HURT],
        "material": material,
        "materials": Material.objects.order_by("name").values_list("pk", "name"),
        "sheet": _sheet(material),
        "may_room": _may(request, rights.ROOM),
        "may_private": _may(request, rights.PRIVATE) and not request.tablet.room,  # type: ignore[attr-defined]
    }
    return act_page(
        request,
        bound(request, InjuryForm, initial={"material": material}),
        acts.report_injury,
        template="safety/report_injury.html",
        context=context,
        then=lambda row: _again("report-injury", row),
        said="Reported. Only managers read it, and they are told.",
    )


def _again(page: str, row: Incident) -> str:
    """Back to what is to be done, the sheet of what was named open: the work is only beginning."""
    return reverse(page) + (f"?material={row.material_id}" if row.material_id else "")


def _may(request: HttpRequest, right: str) -> bool:
    return request.user.may(right)  # type: ignore[union-attr]


def _material(request: HttpRequest) -> Material | None:
    asked_for = request.GET.get("material", "")
    if not (asked_for.isascii() and asked_for.isdigit() and len(asked_for) < 18):
        return None
    return Material.objects.filter(pk=int(asked_for)).first()


def _sheet(material: Material | None) -> Sheet | None:
    """The newest sheet of the material that stands and says something of first aid or spills."""
    if material is None:
        return None
    stands = Sheet.objects.filter(material=material, replaced_by=None)
    return stands.exclude(section_4="", section_6="").order_by("-number").first()


def _number(typed: str | None) -> int:
    return int(typed) if typed and typed.isascii() and typed.isdigit() and 0 < int(typed[:6]) < 100_000 else 1


def _listed(request: HttpRequest, rows: Any, template: str) -> HttpResponse:
    shown = "all" if request.GET.get("shown") == "all" else "open"
    rows = rows if shown == "all" else rows.filter(closed=False)
    page = _number(request.GET.get("page"))
    found = list(rows.select_related("by", "material")[(page - 1) * AT_ONCE : page * AT_ONCE + 1])
    context = {"rows": found[:AT_ONCE], "next": page + 1 if len(found) > AT_ONCE else None, "shown": shown}
    return render(request, template, context)


def _one(request: HttpRequest, rows: Any, number: int, name: str) -> HttpResponse:
    row = get_object_or_404(rows.select_related("by", "material"), number=number)
    context = {name: row, "incident": row, "aftermath": row.aftermath.select_related("by")}
    return render(request, f"safety/{name}.html", context)


def _add(request: HttpRequest, rows: Any, number: int, name: str, do: Any) -> HttpResponse:
    row: Incident = get_object_or_404(rows, number=number)
    address = reverse(name, args=[number])
    return act_page(
        request,
        bound(request, AftermathForm),
        do,
        about={name: row},
        template="safety/add_to_incident.html",
        context={"incident": row, "back": address, "what_it_is": name},
        then=lambda added: address,
        said=lambda added: "Added, and closed." if added.closes else "Added.",
    )


@needs(rights.BINDER)
def spills(request: HttpRequest) -> HttpResponse:
    """Spills that are not closed, or all of them."""
    return _listed(request, asked.spills(), "safety/spills.html")


@needs(rights.BINDER)
def spill(request: HttpRequest, number: int) -> HttpResponse:
    """One spill and what became of it."""
    return _one(request, asked.spills(), number, "spill")


@needs(rights.BINDER)
@sensitive_post_parameters()
def add_to_spill(request: HttpRequest, number: int) -> HttpResponse:
    """What became of a spill."""
    return _add(request, asked.spills(), number, "spill", acts.add_to_spill)


@needs(rights.PRIVATE)
def injuries(request: HttpRequest) -> HttpResponse:
    """Injuries, for managers alone."""
    return _listed(request, asked.injuries(), "safety/injuries.html")


@needs(rights.PRIVATE)
def injury(request: HttpRequest, number: int) -> HttpResponse:
    """One injury and what became of it, for managers alone."""
    return _one(request, asked.injuries(), number, "injury")


@needs(rights.PRIVATE)
@sensitive_post_parameters()
def add_to_injury(request: HttpRequest, number: int) -> HttpResponse:
    """What became of an injury, for managers alone."""
    return _add(request, asked.injuries(), number, "injury", acts.add_to_injury)
