"""The API of recipes: the library, versions with their lines, and the acts on both.

Lines are sent as text, one line each, as on the page: {"base": "Soda feldspar 22\\nSilica 78",
"on_top": "Tin oxide 3"}. They come back as a list.
"""

from typing import Any

from django import forms
from django.db.models import Prefetch, QuerySet
from django.urls import URLPattern, path
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from studio.api_kit import ListOf, One, RowOut, act_at, amount, row_of
from studio.api_kit.asking import RowNumber, one_of, words
from studio.fields import ActForm
from studio.people.doors import needs
from studio.people.rights import RECIPES, SEE
from studio.recipes.forms.recipes import ChangeRecipeForm, RetireRecipeForm
from studio.recipes.forms.versions import AddRecipeForm, AddVersionForm
from studio.recipes.models import Line, Recipe, Version
from studio.recipes.operations import recipes as acts


class RecipeLineOut(RowOut):
    """One line as typed."""

    material_name = serializers.CharField(source="material.name", help_text="its name in the store")
    parts = amount("in the unit of the version: percent, parts or g", places=4)

    class Meta:
        model = Line
        fields = ["position", "kind", "material", "material_name", "typed_name", "parts", "typed"]


class VersionOut(RowOut):
    """One version with its lines; they never change."""

    half_window = amount("specific gravity, ± around target_sg, no unit", places=4)
    particle_density = amount("g/mL, harmonic mean over all lines")
    in_force = serializers.SerializerMethodField(help_text="whether new batches are made of it")
    lines = RecipeLineOut(many=True)

    class Meta:
        model = Version
        fields = [
            "id", "recipe", "number", "state", "in_force", "typed_as", "target_sg", "half_window",
            "sieve_mesh", "particle_density", "soluble", "reason", "made_by", "made_at", "decided_by",
            "decided_at", "lines",
        ]  # fmt: skip

    @extend_schema_field(bool)
    def get_in_force(self, version: Version) -> bool:
        return version.recipe.current_id == version.pk


class RecipeOut(RowOut):
    """A recipe by name; current is the id of its version in force, null before one is approved."""

    settles_min = amount("minutes; null: the studio's rule", places=1, allow_null=True)

    class Meta:
        model = Recipe
        fields = [
            "id", "name", "look", "cone", "atmosphere", "colour", "note", "settles_min", "state", "current",
        ]  # fmt: skip


class RecipesAsked(forms.Form):
    q = words("Part of a name", 80)
    cone = words("Fired to this cone", 4)
    state = one_of("In this state", Recipe.State.choices)


class VersionsAsked(forms.Form):
    recipe = RowNumber("Versions of this recipe")
    state = one_of("In this state", Version.State.choices)


def _versions() -> QuerySet[Version]:
    lines = Line.objects.select_related("material").order_by("position")
    return Version.objects.select_related("recipe").prefetch_related(Prefetch("lines", queryset=lines))


@needs(SEE)
class Recipes(ListOf):
    """Every recipe, newest first."""

    operation = "recipes"
    query = RecipesAsked
    queryset = Recipe.objects.all()
    serializer_class = RecipeOut

    def narrow(self, rows: QuerySet[Recipe], **asked: Any) -> QuerySet[Recipe]:
        return super().narrow(rows.filter(name__icontains=asked.pop("q")), **asked)


@needs(SEE)
class OneRecipe(One):
    """One recipe."""

    operation = "recipe"
    queryset = Recipe.objects.all()
    serializer_class = RecipeOut


@needs(SEE)
class Versions(ListOf):
    """Versions with their lines, newest first."""

    operation = "versions"
    query = VersionsAsked
    queryset = _versions()
    serializer_class = VersionOut


@needs(SEE)
class OneVersion(One):
    """One version with its lines."""

    operation = "version"
    queryset = _versions()
    serializer_class = VersionOut


def _act(where: str, do: Any, form: type[ActForm], output: Any, about: Any = None) -> URLPattern:
    return act_at(where, do, form=form, output=output, about=about, right=RECIPES)


_recipe = row_of("recipe", Recipe)
_version = row_of("version", Version.objects.select_related("recipe"))
RECIPE, VERSION = "recipes/<int:pk>/", "versions/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("recipes/", Recipes.as_view(), name="api-recipes"),
    _act("recipes/", acts.add_recipe, AddRecipeForm, VersionOut),
    path(RECIPE, OneRecipe.as_view(), name="api-recipe"),
    _act(RECIPE, acts.change_recipe, ChangeRecipeForm, RecipeOut, _recipe),
    _act(RECIPE, acts.retire_recipe, RetireRecipeForm, RecipeOut, _recipe),
    _act(RECIPE, acts.bring_back_recipe, ActForm, RecipeOut, _recipe),
    _act(RECIPE, acts.add_version, AddVersionForm, VersionOut, _recipe),
    path("versions/", Versions.as_view(), name="api-versions"),
    path(VERSION, OneVersion.as_view(), name="api-version"),
    _act(VERSION, acts.approve_version, ActForm, VersionOut, _version),
    _act(VERSION, acts.withdraw_version, ActForm, VersionOut, _version),
    _act(VERSION, acts.normalise_version, ActForm, VersionOut, _version),
]
