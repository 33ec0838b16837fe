"""The API of recipes: the library, versions with their lines, and the acts on both.

Lines are sent as text, one line each, as on the page: ``{"base": "Soda feldspar 22\\nSilica 78",
"on_top": "Tin oxide 3"}``. They come back as a list.
"""

from typing import Any

from django.db.models import Prefetch, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import generics, serializers

from studio.api_kit import Pages, act_view
from studio.fields import ActForm
from studio.people.doors import needs
from studio.recipes.forms.recipes import ChangeRecipeForm, RetireRecipeForm
from studio.recipes.forms.versions import AddRecipeForm, AddVersionForm
from studio.recipes.models import Line, Recipe, Version
from studio.recipes.operations import recipes as acts


class LineOut(serializers.ModelSerializer):
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
    lines = LineOut(many=True)

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


@needs("see")
@extend_schema(operation_id="recipes_list")
class Recipes(generics.ListAPIView):
    """Every recipe, newest first."""

    queryset = Recipe.objects.all()
    serializer_class = RecipeOut
    pagination_class = Pages


@needs("see")
@extend_schema(operation_id="recipe")
class OneRecipe(generics.RetrieveAPIView):
    """One recipe."""

    queryset = Recipe.objects.all()
    serializer_class = RecipeOut


@needs("see")
@extend_schema(operation_id="versions_list")
class Versions(generics.ListAPIView):
    """Every version of every recipe with its lines, newest first."""

    queryset = _versions()
    serializer_class = VersionOut
    pagination_class = Pages


@needs("see")
@extend_schema(operation_id="version")
class OneVersion(generics.RetrieveAPIView):
    """One version with its lines."""

    queryset = _versions()
    serializer_class = VersionOut


def _recipe(request: Any, pk: int) -> dict[str, Any]:
    return {"recipe": get_object_or_404(Recipe, pk=pk)}


def _version(request: Any, pk: int) -> dict[str, Any]:
    return {"version": get_object_or_404(Version.objects.select_related("recipe"), pk=pk)}


def _act(name: str, form: type[ActForm], do: Any, output: type[serializers.Serializer], about: Any = None):
    return act_view(name, right="recipes", form=form, do=do, output=output, about=about)


urlpatterns: list[URLPattern] = [
    path("recipes/", Recipes.as_view(), name="api-recipes"),
    path(
        "recipes/add-recipe/",
        _act("AddRecipe", AddRecipeForm, acts.add_recipe, VersionOut),
        name="api-add-recipe",
    ),
    path("recipes/<int:pk>/", OneRecipe.as_view(), name="api-recipe"),
    path(
        "recipes/<int:pk>/change-recipe/",
        _act("ChangeRecipe", ChangeRecipeForm, acts.change_recipe, RecipeOut, _recipe),
        name="api-change-recipe",
    ),
    path(
        "recipes/<int:pk>/retire-recipe/",
        _act("RetireRecipe", RetireRecipeForm, acts.retire_recipe, RecipeOut, _recipe),
        name="api-retire-recipe",
    ),
    path(
        "recipes/<int:pk>/bring-back-recipe/",
        _act("BringBackRecipe", ActForm, acts.bring_back_recipe, RecipeOut, _recipe),
        name="api-bring-back-recipe",
    ),
    path(
        "recipes/<int:pk>/add-version/",
        _act("AddVersion", AddVersionForm, acts.add_version, VersionOut, _recipe),
        name="api-add-version",
    ),
    path("versions/", Versions.as_view(), name="api-versions"),
    path("versions/<int:pk>/", OneVersion.as_view(), name="api-version"),
    path(
        "versions/<int:pk>/approve-version/",
        _act("ApproveVersion", ActForm, acts.approve_version, VersionOut, _version),
        name="api-approve-version",
    ),
    path(
        "versions/<int:pk>/withdraw-version/",
        _act("WithdrawVersion", ActForm, acts.withdraw_version, VersionOut, _version),
        name="api-withdraw-version",
    ),
    path(
        "versions/<int:pk>/normalise-version/",
        _act("NormaliseVersion", ActForm, acts.normalise_version, VersionOut, _version),
        name="api-normalise-version",
    ),
]
