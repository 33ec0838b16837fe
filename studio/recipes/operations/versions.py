"""Acts on versions: added as drafts, approved by another person, withdrawn. Their lines never change."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.db.models import Max
from django.utils import timezone

from studio.errors import NotAllowed, Refused
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.people.rights import RECIPES
from studio.recipes.calc.proportions import HUNDRED, TooSmall, normalised
from studio.recipes.models import Line, Recipe, Version
from studio.recipes.operations.lines import (
    TypedLine,
    density_of,
    refuse_bad_gravity,
    refuse_bad_lines,
    typed_lines,
    write_lines,
)

# What else is to be done once a version is in force: another app adds its own, with who approved it and when.
ONCE_IN_FORCE: list[Callable[[Version, Member, datetime | None], None]] = []


@act("recipe version added", about="recipe")
def add_version(
    *,
    recipe: Recipe,
    lines: Sequence[TypedLine],
    target_sg: Decimal,
    reason: str,
    typed_as: str = Version.TypedAs.PERCENT,
    half_window: Decimal = Decimal("0.02"),
    sieve_mesh: int | None = None,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Version:
    """A new draft of a recipe. The version in force stays in force until another person approves this."""
    recipe = _locked(recipe)
    refuse_unless(by, RECIPES)
    _refuse_retired(recipe)
    if not reason.strip():
        raise Refused("Say in a few words why there is a new version.", field="reason")
    return write_version(
        recipe,
        lines=lines,
        typed_as=typed_as,
        target_sg=target_sg,
        half_window=half_window,
        sieve_mesh=sieve_mesh,
        reason=reason.strip(),
        by=by,
        at=at,
    )


@act("recipe version normalised", about="version")
def normalise_version(
    *, version: Version, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Version:
    """A new draft in the same proportions whose base sums to exactly 100; additions in percent of it."""
    recipe = _locked(version.recipe)
    refuse_unless(by, RECIPES)
    _refuse_retired(recipe)
    return write_version(
        recipe,
        lines=brought_to_100(version),
        typed_as=Version.TypedAs.PERCENT,
        target_sg=version.target_sg,
        half_window=version.half_window,
        sieve_mesh=version.sieve_mesh,
        reason=f"version {version.number} with its base brought to 100",
        by=by,
        at=at,
    )


@act("recipe version approved", about="version")
def approve_version(
    *, version: Version, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Version:
    """Put a draft in force. Refused to the person who made it: somebody else reads it over."""
    recipe = _locked(version.recipe)
    version = _draft(version)
    refuse_unless(by, RECIPES)
    _refuse_retired(recipe)
    if version.made_by_id == by.pk:
        raise NotAllowed(
            f"You made version {version.number} of {recipe.name}, so somebody else approves it: "
            "another technician or a manager."
        )
    _decide(version, Version.State.APPROVED, by, at)
    recipe.current = version
    recipe.save(update_fields=["current"])
    for then in ONCE_IN_FORCE:
        then(version, by, at)
    return version


@act("recipe version withdrawn", about="version")
def withdraw_version(
    *, version: Version, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Version:
    """Put a draft aside for good. It stays to be read; nothing is made from it."""
    _locked(version.recipe)
    version = _draft(version)
    refuse_unless(by, RECIPES)
    _decide(version, Version.State.WITHDRAWN, by, at)
    return version


def write_version(
    recipe: Recipe,
    *,
    lines: Sequence[TypedLine],
    typed_as: str,
    target_sg: Decimal,
    half_window: Decimal,
    sieve_mesh: int | None,
    reason: str,
    by: Member,
    at: datetime | None,
) -> Version:
    """The next draft of a recipe the caller has locked. Refuses lines or a target that can't be."""
    refuse_bad_lines(lines)
    refuse_bad_gravity(lines, target_sg, half_window)
    if typed_as not in Version.TypedAs.values:
        raise Refused("Choose percent, parts or grams.", field="typed_as")
    last = recipe.versions.aggregate(last=Max("number"))["last"] or 0
    version = Version.objects.create(
        recipe=recipe,
        number=last + 1,
        typed_as=typed_as,
        target_sg=target_sg,
        half_window=half_window,
        sieve_mesh=sieve_mesh,
        particle_density=density_of(lines),
        soluble=any(line.material.soluble for line in lines),
        reason=reason,
        made_by=by,
        made_at=at or timezone.now(),
    )
    write_lines(version, lines)
    return version


def brought_to_100(version: Version) -> list[TypedLine]:
    """The lines of a version with its base in exactly 100 parts. Refused when it is so already."""
    lines = typed_lines(version.lines.select_related("material").order_by("position"))
    base = [line for line in lines if line.kind == Line.Kind.BASE]
    on_top = [line for line in lines if line.kind != Line.Kind.BASE]
    if sum(line.parts for line in base) == HUNDRED:
        raise Refused(f"The base of version {version.number} adds up to 100 already.")
    try:
        new_base, new_top = normalised(
            base=[line.parts for line in base], additions=[line.parts for line in on_top]
        )
    except TooSmall as small:
        name = [*base, *on_top][small.index].typed_name
        raise Refused(
            f"{name} would shrink to less than 0.0001 % of the base, so the proportions would be lost. "
            "Check that line in a new version."
        ) from small
    together = zip([*base, *on_top], [*new_base, *new_top], strict=True)
    return [replace(line, parts=parts, typed=f"{parts.normalize():f}") for line, parts in together]


def _locked(recipe: Recipe) -> Recipe:
    return Recipe.objects.select_for_update().get(pk=recipe.pk)


def _draft(version: Version) -> Version:
    version = Version.objects.select_for_update().get(pk=version.pk)
    if version.state != Version.State.DRAFT:
        raise Refused(f"Version {version.number} is {version.get_state_display()} already.")
    return version


def _refuse_retired(recipe: Recipe) -> None:
    if recipe.state == Recipe.State.RETIRED:
        raise Refused(f"{recipe.name} is retired. Bring it back first.")


def _decide(version: Version, state: str, by: Member, at: datetime | None) -> None:
    version.state, version.decided_by, version.decided_at = state, by, at or timezone.now()
    version.save(update_fields=["state", "decided_by", "decided_at"])
