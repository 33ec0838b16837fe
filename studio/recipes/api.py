"""The API of recipes: the library, versions with their lines, and the acts on both.

Lines are sent as text, one line each, as on the page: ``{"base": "Soda feldspar 22\\nSilica 78",
"on_top": "Tin oxide 3"}``. They come back as a list.
"""

from typing import Any

from django.db.models import Prefetch, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import generics, serializers

from studio.api_kit import Pages, act_view
from studio.fields import ActForm
from studio.materials.api import number_of
from studio.people.doors import needs
from studio.people.rights import RECIPES, SEE
from studio.recipes.forms.recipes import ChangeRecipeForm, RetireRecipeForm
from studio.recipes.forms.versions import AddRecipeForm, AddVersionForm
from studio.recipes.models import Line, Recipe, Version
from studio.recipes.operations import recipes as acts


class RecipeLineOut(serializers.ModelSerializer):
    """One line as typed."""

    material_name = serializers.CharField(source="material.name", help_text="its name in the store")
    parts = serializers.DecimalField(
        max_digits=19, decimal_places=4, help_text="in the unit of the version: percent, parts or g"
    )

    class Meta:
        model = Line
        fields = ["position", "kind", "material", "material_name", "typed_name", "parts", "typed"]


class VersionOut(serializers.ModelSerializer):
    """One version with its lines; they never change."""

    target_sg = serializers.DecimalField(
        max_digits=8, decimal_places=4, help_text="specific gravity, no unit"
    )
    half_window = serializers.DecimalField(
        max_digits=8, decimal_places=4, help_text="± around target_sg, no unit"
    )
    particle_density = serializers.DecimalField(
        max_digits=8, decimal_places=3, help_text="g/mL, harmonic mean over all lines"
    )
    in_force = serializers.SerializerMethodField(help_text="whether new batches are made of it")
    lines = RecipeLineOut(many=True)

    class Meta:
        model = Version
        fields = [
            "id",
            "recipe",
            "number",
            "state",
            "in_force",
            "typed_as",
            "target_sg",
            "half_window",
            "sieve_mesh",
            "particle_density",
            "soluble",
            "reason",
            "made_by",
            "made_at",
            "decided_by",
            "decided_at",
            "lines",
        ]

    @extend_schema_field(bool)
    def get_in_force(self, version: Version) -> bool:
        return version.recipe.current_id == version.pk


class RecipeOut(serializers.ModelSerializer):
    """A recipe by name. ``current`` is the id of its version in force, null before one is approved."""

    settles_min = serializers.DecimalField(
        max_digits=8, decimal_places=1, allow_null=True, help_text="minutes; null: the studio's rule"
    )

    class Meta:
        model = Recipe
        fields = [
            "id",
            "name",
            "look",
            "cone",
            "atmosphere",
            "colour",
            "note",
            "settles_min",
            "state",
            "current",
        ]


def _versions() -> QuerySet[Version]:
    lines = Line.objects.select_related("material").order_by("position")
    return Version.objects.select_related("recipe").prefetch_related(Prefetch("lines", queryset=lines))


@needs(SEE)
class Recipes(generics.ListAPIView):
    """Every recipe, newest first."""

    queryset = Recipe.objects.all()
    serializer_class = RecipeOut
    pagination_class = Pages


@needs(SEE)
class OneRecipe(generics.RetrieveAPIView):
    """One recipe."""

    queryset = Recipe.objects.all()
    serializer_class = RecipeOut


@needs(SEE)
@extend_schema(parameters=[OpenApiParameter("recipe", int, description="versions of this recipe")])
class Versions(generics.ListAPIView):
    """Versions with their lines, newest first."""

    queryset = _versions()
    serializer_class = VersionOut
    pagination_class = Pages

    def get_queryset(self) -> QuerySet[Version]:
        rows = super().get_queryset()
        number = number_of(self.request.GET, "recipe")
        return rows if number is None else rows.filter(recipe__pk=number)


@needs(SEE)
class OneVersion(generics.RetrieveAPIView):
    """One version with its lines."""

    queryset = _versions()
    serializer_class = VersionOut


def _recipe(request: Any, pk: int) -> dict[str, Any]:
    return {"recipe": get_object_or_404(Recipe, pk=pk)}


def _version(request: Any, pk: int) -> dict[str, Any]:
    return {"version": get_object_or_404(Version.objects.select_related("recipe"), pk=pk)}


def _act(where: str, do: Any, form: type[ActForm], output: Any, about: Any = None) -> URLPattern:
    """One act below ``where``: its address and its names are those of the operation."""
    dashes = do.__name__.replace("_", "-")
    view = act_view(do.__name__, right=RECIPES, form=form, do=do, output=output, about=about)
    return path(f"{where}{dashes}/", view, name=f"api-{dashes}")


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
