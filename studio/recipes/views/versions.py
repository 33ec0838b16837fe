"""Acts on one version: a new one, approved, withdrawn, its base brought to 100."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from studio.errors import Refused
from studio.fields import ActForm, plain
from studio.pages import act_page, bound, person
from studio.people.doors import EACH_TIME, needs
from studio.recipes import queries
from studio.recipes.forms.versions import AddVersionForm
from studio.recipes.models import Line, Recipe, Version
from studio.recipes.operations.recipes import (
    add_version,
    approve_version,
    normalise_version,
    withdraw_version,
)
from studio.recipes.operations.versions import brought_to_100
from studio.recipes.reading import typed_again
from studio.recipes.sheet import Sheet, sheet_of
from studio.recipes.views.recipe import read_then_keep, to_recipe


@needs("recipes")
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """A new draft, typed over the version it starts from (``?from=2``, else the one in force)."""
    recipe = get_object_or_404(Recipe.objects.select_related("current"), pk=pk)
    start = _start(recipe, request.GET.get("from", ""))
    return read_then_keep(
        request,
        bound(request, AddVersionForm, initial=_typed(start)),
        add_version,
        template="recipes/add_version.html",
        about={"recipe": recipe},
        context={"start": start},
        said="{} is kept as a draft. Another person approves it.",
    )


@needs("recipes", at_tablet=EACH_TIME)
def approve(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    version = _version(pk, number)
    return _act(
        request,
        version,
        approve_version,
        template="recipes/approve.html",
        said="{} is in force. New batches are made of it.",
        mine=version.made_by_id == person(request).pk,
        others=[p for p in queries.approvers() if p.pk != version.made_by_id],
    )


@needs("recipes")
def withdraw(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    return _act(
        request,
        _version(pk, number),
        withdraw_version,
        template="recipes/withdraw.html",
        said="{} is withdrawn. It stays to be read.",
    )


@needs("recipes")
def normalise(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    version = _version(pk, number)
    return _act(
        request,
        version,
        normalise_version,
        template="recipes/normalise.html",
        said="{} is kept as a draft, its base adding up to 100. Another person approves it.",
        **_as_100(version),
    )


def _act(
    request: HttpRequest, version: Version, do: Any, *, template: str, said: str, **context: Any
) -> HttpResponse:
    return act_page(
        request,
        bound(request, ActForm),
        do,
        template=template,
        then=lambda row: to_recipe(row.recipe),
        about={"version": version},
        context={
            "recipe": version.recipe,
            "sheet": sheet_of(version, version.lines.select_related("material").order_by("position")),
            **context,
        },
        said=lambda row: said.format(row),
    )


def _as_100(version: Version) -> dict[str, Any]:
    """How the lines would stand, or the sentence why they can't."""
    try:
        return {"after": Sheet(lines=brought_to_100(version), typed_as=Version.TypedAs.PERCENT)}
    except Refused as refusal:
        return {"refused": refusal.sentence}


def _version(pk: int, number: int) -> Version:
    recipe = get_object_or_404(Recipe, pk=pk)
    versions = Version.objects.select_related("recipe", "made_by", "decided_by")
    return get_object_or_404(versions, recipe=recipe, number=number)


def _start(recipe: Recipe, asked: str) -> Version:
    versions = recipe.versions.order_by("-number")
    if asked.isdecimal() and len(asked) < 9:
        return get_object_or_404(versions, number=int(asked))
    return recipe.current or versions[0]


def _typed(version: Version) -> dict[str, Any]:
    """A version as it would be typed again."""
    lines = list(version.lines.order_by("position"))
    return {
        "typed_as": version.typed_as,
        "base": typed_again(lines, Line.Kind.BASE),
        "on_top": typed_again(lines, Line.Kind.ADDITION),
        "target_sg": plain(version.target_sg),
        "half_window": plain(version.half_window),
        "sieve_mesh": version.sieve_mesh,
    }
