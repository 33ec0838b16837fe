"""The binder's sheets: of every material, of one, one version; filing, covering, handing out, printing."""

from typing import Any

from django.db.models import Prefetch
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from safety.air_limits import limits_of
from safety.class_words import classes_in, short_names
from safety.derivation import figures_of, said_of, status_in_words
from safety.documents import handed_out
from safety.forms.sheets import SECTION_WORDS, CoverForm, SheetPageForm, TableForm
from safety.gates import standing as let_through
from safety.models import Sheet
from safety.operations import sheets as acts
from safety.sheets import WORST_FIRST, asides_of, asides_of_materials, sheet_states
from studio.materials.models import Material
from studio.pages import act_page, bound
from studio.people import rights
from studio.people.doors import needs
from studio.printing import paper
from studio.room import details, policy

LAST = 40


@needs(rights.SEE)
def sheets(request: HttpRequest) -> HttpResponse:
    """Every current material with the state of its sheet, what is missing first."""
    materials = list(Material.objects.filter(state=Material.State.CURRENT))
    states = sheet_states([row.pk for row in materials], timezone.localdate(), policy.in_force())
    asides = asides_of_materials([row.pk for row in materials])
    rows = [{"material": row, "state": states[row.pk], "asides": asides[row.pk]} for row in materials]
    rows.sort(key=lambda row: WORST_FIRST.index(row["state"].word))  # type: ignore[attr-defined]
    counts = {word: sum(row["state"].word == word for row in rows) for word in WORST_FIRST}  # type: ignore[attr-defined]
    return render(request, "safety/sheets.html", {"rows": rows, "counts": counts, **_may(request)})


def _may(request: HttpRequest) -> dict[str, Any]:
    return {"may": request.user.may(rights.BINDER)}  # type: ignore[union-attr]


@needs(rights.SEE)
def binder_material(request: HttpRequest, pk: int) -> HttpResponse:
    """What is on file of one material: its standing sheets, what to do first, the versions before."""
    material = get_object_or_404(Material, pk=pk)
    every = list(_whole(Sheet.objects.filter(material=material)))
    standing = [row for row in every if row.stands]
    state = sheet_states([pk], timezone.localdate(), policy.in_force())[pk]
    likely = TableForm(material=material).found if not standing else {}
    read = [_read(row) for row in standing]
    said = {aside for row in read for aside in row["asides"]}
    context = {
        "material": material,
        "state": state,
        "standing": read,
        "short_names": list(dict.fromkeys(pair for row in read for pair in row["short_names"])),
        "asides": [aside for aside in asides_of_materials([pk])[pk] if not any(one in aside for one in said)],
        "before": [row for row in every if not row.stands],
        "likely": list(likely.values()),
        "let_through": let_through([pk])[:LAST],
        **_may(request),
    }
    return render(request, "safety/binder_material.html", context)


def _whole(rows: Any) -> Any:
    return rows.select_related("replaced_by", "by", "material").prefetch_related(
        "constituents", Prefetch("covers__lot")
    )


def _read(sheet: Sheet) -> dict[str, Any]:
    """A sheet laid out to be read: its sections in words, its substances."""
    constituents = [_constituent(row) for row in sheet.constituents.all()]
    said = (sheet.hazards, *(row.hazards for row in constituents))
    lots = [row.lot for row in sheet.covers.all()]
    texts = [(SECTION_WORDS[n], getattr(sheet, f"section_{n}")) for n in acts.SECTIONS]
    return {
        "sheet": sheet,
        "sections": [(word, text) for word, text in texts if text],
        "constituents": constituents,
        "short_names": short_names(cls for hazards in said for cls in classes_in(hazards)),
        "lots": lots,
        "asides": asides_of(sheet, lots),
        "air": [(row.sentence, status_in_words(row.status)) for row in limits_of(sheet)],
    }


def _constituent(row: Any) -> Any:
    """A row of section 3 with every figure the classifying counts."""
    row.said = said_of(row.hazards)
    row.figures = figures_of(row.hazards)
    return row


@needs(rights.SEE)
def sheet(request: HttpRequest, number: int) -> HttpResponse:
    """One version as it was filed."""
    row = get_object_or_404(_whole(Sheet.objects), number=number)
    context = {"material": row.material, **_read(row), **_may(request)}
    return render(request, "safety/sheet.html", context)


@needs(rights.SEE)
def sheet_file(request: HttpRequest, number: int) -> HttpResponseBase:
    """The PDF, as a download."""
    row = get_object_or_404(Sheet, number=number)
    if not row.file_digest:
        raise Http404("No PDF was filed with this sheet.")
    return handed_out(row.file_digest, str(row))


@needs(rights.BINDER)
def file_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """A new sheet of a material; more rows keep what was typed and write nothing."""
    material = get_object_or_404(Material, pk=pk)
    files = request.FILES or None
    return act_page(
        request,
        bound(request, SheetPageForm, files=files, material=material, initial=_before(material)),
        acts.file_sheet,
        about={"material": material},
        template="safety/file_sheet.html",
        then=lambda row: reverse("binder-material", args=[pk]),
        said=lambda row: f"Filed as {row}. Every glaze with {material.name} was classified anew.",
    )


def _before(material: Material) -> dict[str, Any]:
    """What the last sheet said of its supplier, so that it is not typed again."""
    last = Sheet.objects.filter(material=material).exclude(kind=Sheet.Kind.TABLE).first()
    if last is None:
        return {"product": material.name, "lots": list(material.lots.all())}
    names = ("product", "supplier", "supplier_address", "phone", "emergency_phone", "language", "law")
    return {name: getattr(last, name) for name in names}


@needs(rights.BINDER)
def use_table(request: HttpRequest, pk: int) -> HttpResponse:
    """Until its sheet is here a material is what a person says it is, by our table."""
    material = get_object_or_404(Material.objects.prefetch_related("aliases"), pk=pk)
    return act_page(
        request,
        bound(request, TableForm, material=material),
        acts.file_sheet,
        template="safety/use_table.html",
        about={"material": material},
        then=lambda row: reverse("binder-material", args=[pk]),
        said=lambda row: f"{material.name} counts as {row.product} until its sheet is filed.",
    )


@needs(rights.BINDER)
def cover_lot(request: HttpRequest, number: int) -> HttpResponse:
    """A sheet is the one for another lot, too."""
    row = get_object_or_404(Sheet.objects.select_related("material", "replaced_by"), number=number)
    return act_page(
        request,
        bound(request, CoverForm, sheet=row),
        acts.cover_lot,
        template="room/form.html",
        about={"sheet": row},
        context={
            "title": f"A lot that {row} covers",
            "lead": "Compare product, supplier and grade on the bag with it. Another grade has its own.",
            "do": "It covers this lot",
            "back": reverse("binder-material", args=[row.material_id]),
            "back_words": row.material.name,
        },
        then=lambda made: reverse("binder-material", args=[row.material_id]),
        said=lambda made: f"{row} covers lot {made.lot.code}.",
    )


@needs(rights.SEE)
def first_aid(request: HttpRequest, pk: int) -> HttpResponse:
    """One page for the wall: first aid and spills of a material, from its standing sheet."""
    material = get_object_or_404(Material, pk=pk)
    rows = [_read(row) for row in _whole(Sheet.objects.filter(material=material, replaced_by=None))]
    context = {
        "sheets": rows,
        "material": material,
        "emergency": details.in_force().emergency,
        "today": timezone.localdate(),
    }
    return paper(request, "print/first_aid.html", context, f"first-aid-{pk}")


@needs(rights.SEE)
def binder_pdf(request: HttpRequest) -> HttpResponse:
    """The whole binder on paper: every standing sheet's copied sections, what is missing first."""
    materials = list(Material.objects.filter(state=Material.State.CURRENT))
    states = sheet_states([row.pk for row in materials], timezone.localdate(), policy.in_force())
    gaps = [(row, states[row.pk]) for row in materials if states[row.pk].word != "current"]
    standing = _whole(Sheet.objects.filter(replaced_by=None)).order_by("material__name", "-number")
    context = {"gaps": gaps, "sheets": [_read(row) for row in standing], "today": timezone.localdate()}
    return paper(request, "print/binder.html", context, "binder")
