"""Acts on recipes: added, changed in their details, retired, brought back."""

import re
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction

from studio.errors import Refused
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.people.rights import RECIPES
from studio.recipes.calc.cones import CONES
from studio.recipes.models import Recipe, Version
from studio.recipes.operations.lines import TypedLine
from studio.recipes.operations.versions import (
    add_version,
    approve_version,
    normalise_version,
    withdraw_version,
    write_version,
)

__all__ = [
    "TypedLine",
    "add_recipe",
    "add_version",
    "approve_version",
    "bring_back_recipe",
    "change_recipe",
    "normalise_version",
    "retire_recipe",
    "withdraw_version",
]


@act("recipe added")
def add_recipe(
    *,
    name: str,
    lines: Sequence[TypedLine],
    target_sg: Decimal,
    cone: str,
    look: str = "",
    atmosphere: str = Recipe.Atmosphere.OXIDATION,
    colour: str = "#8a8f86",
    note: str = "",
    settles_min: Decimal | None = None,
    typed_as: str = Version.TypedAs.PERCENT,
    half_window: Decimal = Decimal("0.02"),
    sieve_mesh: int | None = None,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Version:
    """A new recipe with its first version, a draft.

    ``settles_min`` in minutes or None for the studio's rule, ``target_sg`` without unit, above 1 and
    below the powder's density, ``half_window`` the same unit, above 0. Refused: a name that is taken,
    an unknown cone, lines that are no recipe.
    """
    refuse_unless(by, RECIPES)
    details = _details(name, look, cone, atmosphere, colour, note, settles_min)
    _refuse_taken(details["name"])
    recipe = Recipe(**details)
    _save(recipe)
    return write_version(
        recipe,
        lines=lines,
        typed_as=typed_as,
        target_sg=target_sg,
        half_window=half_window,
        sieve_mesh=sieve_mesh,
        reason="",
        by=by,
        at=at,
    )


@act("recipe details changed", about="recipe")
def change_recipe(
    *,
    recipe: Recipe,
    name: str,
    look: str,
    cone: str,
    atmosphere: str,
    colour: str,
    note: str,
    settles_min: Decimal | None,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Recipe:
    """Change what a recipe is called and said to be. Its versions stay as they are; so do old batches."""
    recipe = Recipe.objects.select_for_update().get(pk=recipe.pk)
    refuse_unless(by, RECIPES)
    details = _details(name, look, cone, atmosphere, colour, note, settles_min)
    _refuse_taken(details["name"], but=recipe)
    for field, value in details.items():
        setattr(recipe, field, value)
    _save(recipe, list(details))
    return recipe


@act("recipe retired", about="recipe")
def retire_recipe(
    *, recipe: Recipe, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Recipe:
    """Take a recipe out of use: nothing new is asked for; batches and buckets of it stay as they are."""
    recipe = Recipe.objects.select_for_update().get(pk=recipe.pk)
    refuse_unless(by, RECIPES)
    if recipe.state == Recipe.State.RETIRED:
        raise Refused(f"{recipe.name} is already retired.")
    if not reason.strip():
        raise Refused("Say in a few words why it is retired.", field="reason")
    recipe.state = Recipe.State.RETIRED
    recipe.save(update_fields=["state"])
    return recipe


@act("recipe brought back", about="recipe")
def bring_back_recipe(
    *, recipe: Recipe, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Recipe:
    """Put a retired recipe back into use, with the version that was in force."""
    recipe = Recipe.objects.select_for_update().get(pk=recipe.pk)
    refuse_unless(by, RECIPES)
    if recipe.state == Recipe.State.CURRENT:
        raise Refused(f"{recipe.name} is in use already.")
    recipe.state = Recipe.State.CURRENT
    recipe.save(update_fields=["state"])
    return recipe


def _details(
    name: str, look: str, cone: str, atmosphere: str, colour: str, note: str, settles_min: Decimal | None
) -> dict[str, Any]:
    name = " ".join(name.split())
    if not name:
        raise Refused("A recipe needs a name.", field="name")
    if cone not in CONES:
        raise Refused("Choose a cone from the list; 06 and 6 are different cones.", field="cone")
    if atmosphere not in Recipe.Atmosphere.values:
        raise Refused("Choose oxidation, reduction or neutral.", field="atmosphere")
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
        raise Refused("Choose a colour; it is kept as # and six digits.", field="colour")
    if settles_min is not None and settles_min <= 0:
        raise Refused("A glaze settles in more than 0 minutes.", field="settles_min")
    return {
        "name": name,
        "look": look.strip(),
        "cone": cone,
        "atmosphere": atmosphere,
        "colour": colour.lower(),
        "note": note.strip(),
        "settles_min": settles_min,
    }


def _refuse_taken(name: str, but: Recipe | None = None) -> None:
    wanted = name.casefold()
    for pk, taken in Recipe.objects.values_list("pk", "name"):
        if taken.casefold() == wanted and (but is None or pk != but.pk):
            raise _taken(taken)


def _save(recipe: Recipe, fields: list[str] | None = None) -> None:
    """Write it; somebody else may have taken the name since it was looked up."""
    try:
        with transaction.atomic():
            recipe.save(update_fields=fields)
    except IntegrityError as error:
        raise _taken(recipe.name) from error


def _taken(name: str) -> Refused:
    return Refused(
        f"There is already a recipe called {name}. Choose another name, or add a version to it.",
        field="name",
    )
