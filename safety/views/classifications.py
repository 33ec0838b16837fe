"""Pages of what recipes are by law: all of them, one version, how it was got, and the results on file."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.core.paginator import Paginator
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from safety import derivation
from safety.calc.mixture import RULES_OF_LAW
from safety.class_words import classes_of, short_names
from safety.classifying import LAWS, Worked, side_by_side, studio_law, worked_out
from safety.forms.classifications import ClassifyVersionForm
from safety.hazards import newest
from safety.label_words import beside_statements, content_of
from safety.mixes import digest, mix_of_version
from safety.models import Classification, Label
from safety.operations.classifying import classify_version
from safety.statements import codes_of
from safety.wetness import wet_of
from studio.pages import act_page, bound, person
from studio.people.doors import needs
from studio.people.rights import BINDER
from studio.recipes.models import Recipe, Version
from studio.room.models import Details

A_PAGE = 50


@needs("see")
@require_safe
def recipe_hazards(request: HttpRequest) -> HttpResponse:
    """Every recipe in use with what its version in force is by the studio's law, as is known now."""
    q = request.GET.get("q", "").replace("\0", "")[:80]
    rows = Recipe.objects.filter(state=Recipe.State.CURRENT).select_related("current").order_by("name")
    page = Paginator(rows.filter(name__icontains=q) if q else rows, A_PAGE).get_page(request.GET.get("page"))
    law = studio_law()
    in_force = [recipe for recipe in page if recipe.current_id]
    worked = worked_out([mix_of_version(recipe.current_id) for recipe in in_force], law)
    for recipe, one in zip(in_force, worked, strict=True):
        recipe.worked = one
        recipe.said = one.result.as_plain()
        recipe.codes = codes_of(recipe.said["label"], law)
    context = {
        "page": page,
        "q": q,
        "law": law,
        "law_words": Details.Law(law).label,
        "rule_set": _edition(law),
        "short_names": short_names(cls for one in worked for cls in one.result.classes),
    }
    return render(request, "safety/recipe_hazards.html", context)


@needs("see")
@require_safe
def version_hazards(request: HttpRequest, pk: int) -> HttpResponse:
    """One version: what its label says, dry and wet shares, the rules of other countries beside ours."""
    version = get_object_or_404(Version.objects.select_related("recipe"), pk=pk)
    own = studio_law()
    laws = [own, *(law for law in LAWS if law != own)]
    mix = mix_of_version(version)
    found = {law: rows[0] for law, rows in side_by_side([mix], laws).items()}
    worked = found[own]
    wet = wet_of(worked, version)
    on_file = list(Classification.objects.filter(mix_digest=digest(mix)).order_by("-number")[:A_PAGE])
    return render(
        request,
        "safety/version_hazards.html",
        {
            "version": version,
            **_shown(worked.result.as_plain(), worked.inputs, own, wet.share if wet else None),
            "wet": wet,
            "wet_lines": derivation.lines_of(wet.result) if wet else [],
            "beside": _beside(found),
            "on_file": on_file,
            "standing": next((row for row in on_file if row.law == own), None),
            "same": any(row.inputs_digest == worked.inputs_digest for row in on_file if row.law == own),
            "rule_set": worked.rule_set,
            "may_file": person(request).may(BINDER),
        },
    )


@needs("see")
@require_safe
def version_derivation(request: HttpRequest, pk: int) -> HttpResponse:
    """How the classes of a version are got from what is on file now, by one country's rules."""
    version = get_object_or_404(Version.objects.select_related("recipe"), pk=pk)
    law = request.GET.get("law", "")
    law = law if law in LAWS else studio_law()
    worked = worked_out([mix_of_version(version)], law)[0]
    wet = wet_of(worked, version)
    context = {
        "version": version,
        "what": str(version),
        "rule_set": worked.rule_set,
        "laws": [(one, Details.Law(one).label, one == law) for one in LAWS],
        **_shown(worked.result.as_plain(), worked.inputs, law, wet.share if wet else None),
    }
    return render(request, "safety/derivation.html", context)


@needs("see")
@require_safe
def classification(request: HttpRequest, number: int) -> HttpResponse:
    """One result on file as it was worked out then, whatever is known now."""
    row = get_object_or_404(Classification.objects.select_related("by"), number=number)
    labels = list(row.labels.exclude(state="void").order_by("serial")[:A_PAGE])
    now = newest([row.mix_digest], row.law)[row.mix_digest]
    context = {
        "row": row,
        "what": row.what,
        "rule_set": row.rule_set,
        "now": None if now.pk == row.pk else now,
        "labels": labels,
        "mix": _mix(row),
        **_shown(row.result, row.inputs, row.law, labels=labels),
    }
    return render(request, "safety/derivation.html", context)


@needs("see")
@require_safe
def classifications(request: HttpRequest) -> HttpResponse:
    """Every result on file, newest first."""
    page = Paginator(_narrowed(request), A_PAGE).get_page(request.GET.get("page"))
    law = request.GET.get("law", "")
    for row in page:
        row.codes = codes_of(row.result["label"], row.law)
    return render(
        request,
        "safety/classifications.html",
        {"page": page, "law": law, "q": request.GET.get("q", ""), "laws": LAWS},
    )


@needs("see", post=BINDER)
def classify(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep what a version is by one country's rules, so that it is kept up to date from then on."""
    version = get_object_or_404(Version.objects.select_related("recipe"), pk=pk)
    return act_page(
        request,
        bound(request, ClassifyVersionForm),
        classify_version,
        template="safety/classify.html",
        about={"version": version},
        then=lambda row: reverse("classification", args=[row.number]),
        said=lambda row: f"On file as {row}.",
    )


# --- inside


def _edition(law: str) -> str:
    return RULES_OF_LAW[law][1]


def _shown(
    result: dict[str, Any],
    inputs: dict[str, Any],
    law: str,
    wet: Decimal | None = None,
    labels: Iterable[Label] = (),
) -> dict[str, Any]:
    return {
        "beside_them": beside_statements(result, inputs, content_of(inputs, labels)),
        "law": law,
        "law_words": Details.Law(law).label,
        "result": result,
        "inputs": inputs,
        "label": derivation.label_of(result, law),
        "lines": derivation.lines_of(result),
        "acute": derivation.acute_of(result, inputs),
        "acidity": derivation.acidity_of(inputs),
        "substances": derivation.substances_of(inputs, wet),
        "materials": derivation.materials_of(inputs),
        "assumed": inputs["assumed"],
        "missing": inputs["missing"],
        "short_names": short_names(classes_of(result, inputs), figures=True),
        "edition": inputs.get("edition", 1),
    }


def _beside(found: dict[str, Worked]) -> dict[str, Any]:
    """The rules of each law beside the others: every class any of them gives, and who gives it."""
    results = {law: worked.result.as_plain() for law, worked in found.items()}
    classes = list(dict.fromkeys(cls for result in results.values() for cls in result["classes"]))
    return {
        "laws": [(law, Details.Law(law).label, found[law].rule_set) for law in found],
        "signals": [result["label"].get("signal_word") or "none" for result in results.values()],
        "codes": [", ".join(codes_of(result["label"], law)) or "none" for law, result in results.items()],
        "rows": [
            {
                "cls": cls,
                "by": [(law, cls in result["classes"]) for law, result in results.items()],
                "same": all(cls in result["classes"] for result in results.values()),
            }
            for cls in classes
        ],
    }


def _mix(row: Classification) -> list[tuple[str, str]]:
    """The parts of a mixture with their shares, in words."""
    names = {
        version.pk: str(version)
        for version in Version.objects.filter(
            pk__in=[part["version"] for part in row.mix if "version" in part]
        ).select_related("recipe")
    }
    materials = {material["id"]: material["name"] for material in row.inputs["materials"]}
    return [
        (
            names.get(part.get("version"))
            or materials.get(part.get("material"))
            or part.get("unknown", "a part that is not on file"),
            derivation.pct(100 * Decimal(part["share"])) if part["share"] != "0" else "not counted",
        )
        for part in row.mix
    ]


def _narrowed(request: HttpRequest) -> QuerySet[Classification]:
    rows = Classification.objects.select_related("by").order_by("-number")
    if (law := request.GET.get("law", "")) in LAWS:
        rows = rows.filter(law=law)
    if q := request.GET.get("q", "").replace("\0", "")[:80]:
        number = q.upper().lstrip("K")
        rows = rows.filter(
            Q(what__icontains=q)
            | (Q(number=int(number)) if number.isdecimal() and len(number) < 9 else Q(pk=None))
        )
    return rows
