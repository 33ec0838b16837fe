"""One recipe: its page, its details, retired and brought back."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from studio.fields import ActForm, plain
from studio.pages import act_page, bound, person
from studio.people.doors import needs
from studio.people.rights import RECIPES
from studio.recipes import queries
from studio.recipes.calc.proportions import HUNDRED
from studio.recipes.differences import lines_compared, targets_compared
from studio.recipes.forms.recipes import ChangeRecipeForm, RetireRecipeForm
from studio.recipes.forms.versions import AddRecipeForm
from studio.recipes.models import Line, Recipe, Version
from studio.recipes.operations.recipes import add_recipe, bring_back_recipe, change_recipe, retire_recipe
from studio.recipes.sheet import sheet_of


@needs("see")
@require_safe
def recipe(request: HttpRequest, pk: int) -> HttpResponse:
    """The version in force (or the newest), another beside it, every version and what happened."""
    row = get_object_or_404(Recipe.objects.select_related("current"), pk=pk)
    versions = queries.versions_of(row)
    _ready(versions, person(request))
    main = _main(row, versions)
    beside = _beside(request.GET.get("beside", ""), main, versions)
    return render(
        request,
        "recipes/recipe.html",
        {
            "recipe": row,
            "versions": versions,
            "main": main,
            "sheet": sheet_of(main, main.lines.all()),
            "beside": beside,
            "compared": _compared(main, beside) if beside else None,
            "story": queries.story_of(row, versions),
            "may_change": person(request).may(RECIPES),
        },
    )


@needs("recipes")
def add(request: HttpRequest) -> HttpResponse:
    """A recipe typed as it stands in the notebook: read first, then kept as a draft."""
    form = bound(request, AddRecipeForm)
    return read_then_keep(
        request,
        form,
        add_recipe,
        template="recipes/add.html",
        said="{} is kept as a draft. Another person approves it.",
    )


@needs("recipes")
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Name, look, cone and what members must know. Versions are not touched."""
    row = get_object_or_404(Recipe, pk=pk)
    names = ("name", "look", "cone", "atmosphere", "colour", "note")
    now = {name: getattr(row, name) for name in names}
    now["settles_min"] = None if row.settles_min is None else plain(row.settles_min)
    return act_page(
        request,
        bound(request, ChangeRecipeForm, initial=now),
        change_recipe,
        template="recipes/change.html",
        then=to_recipe,
        about={"recipe": row},
        said="The details are changed. Batches already made keep what they said.",
    )


@needs("recipes")
def retire(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Recipe, pk=pk)
    return act_page(
        request,
        bound(request, RetireRecipeForm),
        retire_recipe,
        template="recipes/retire.html",
        then=to_recipe,
        about={"recipe": row},
        said=f"{row.name} is retired. Buckets and batches of it stay as they are.",
    )


@needs("recipes")
def bring_back(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Recipe, pk=pk)
    return act_page(
        request,
        bound(request, ActForm),
        bring_back_recipe,
        template="recipes/bring_back.html",
        then=to_recipe,
        about={"recipe": row},
        said=f"{row.name} is in use again.",
    )


def read_then_keep(
    request: HttpRequest, form: Any, do: Any, *, template: str, said: str, **kwargs: Any
) -> HttpResponse:
    """Show how the typed lines read while ``step`` is "read"; otherwise do the act with them."""
    if request.method == "POST" and request.POST.get("step") == "read":
        status = 200 if form.is_valid() else 422
        context = {
            **kwargs.get("about", {}),
            **kwargs.get("context", {}),
            "form": form,
            "read": form.is_valid(),
        }
        return render(request, template, context, status=status)
    return act_page(
        request,
        form,
        do,
        template=template,
        then=lambda version: to_recipe(version.recipe),
        said=lambda version: said.format(version),
        **kwargs,
    )


def to_recipe(row: Recipe) -> str:
    return reverse("recipe", kwargs={"pk": row.pk})


def _main(row: Recipe, versions: list[Version]) -> Version:
    """The version in force; without one the newest that was not withdrawn."""
    kept = [v for v in versions if v.state != Version.State.WITHDRAWN] or versions
    return next((v for v in versions if v.pk == row.current_id), kept[0])


def _beside(asked: str, main: Version, versions: list[Version]) -> Version | None:
    """The version asked for, else the newest draft that is not shown already."""
    others = [v for v in versions if v.pk != main.pk]
    wanted = [v for v in others if str(v.number) == asked]
    drafts = [v for v in others if v.state == Version.State.DRAFT]
    return next(iter([*wanted, *drafts]), None)


def _compared(main: Version, beside: Version) -> dict[str, Any]:
    names = f"version {main.number}", f"version {beside.number}"
    rows = lines_compared(sheet_of(main, main.lines.all()), sheet_of(beside, beside.lines.all()), *names)
    rows += targets_compared(main, beside)
    return {"rows": rows, "same": all(row.same for row in rows)}


def _ready(versions: list[Version], me: Any) -> None:
    """Say of each version what its page part needs: who may approve a draft, whether its base is 100."""
    able = queries.approvers() if any(v.state == Version.State.DRAFT for v in versions) else []
    for version in versions:
        base = [line.parts for line in version.lines.all() if line.kind == Line.Kind.BASE]
        version.to_100 = sum(base) != HUNDRED
        version.draft = version.state == Version.State.DRAFT
        version.mine = version.made_by_id == me.pk
        version.others = [p for p in able if p.pk != version.made_by_id]
