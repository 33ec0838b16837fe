"""Materials: added (with what is there already), changed, discontinued, brought back."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from studio.errors import Refused
from studio.materials.densities import ASSUMED, ASSUMED_SOURCE, density_of
from studio.materials.models import Alias, Lot, Material, Movement
from studio.materials.names import find_material, known_names, suggestions, tidy
from studio.materials.operations.stock import take_in
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member

__all__ = [
    "NewMaterial",
    "add_alias",
    "add_material",
    "add_materials",
    "bring_back_material",
    "change_material",
    "end_material",
    "find_material",
    "suggestions",
]

TYPED_SOURCE = "typed in"


@act("material added")
def add_material(
    *,
    name: str,
    role: str = Material.Role.PLAIN,
    density: Decimal | None = None,
    density_source: str = "",
    soluble: bool = False,
    hazard_words: str = "",
    aliases: Sequence[str] = (),
    opening_g: Decimal | None = None,
    opening_price_per_kg: Decimal | None = None,
    lot_code: str = "",
    supplier: str = "",
    received_on: date | None = None,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Material:
    """A material enters the store, with ``opening_g`` grams as a first, released lot when there are any.

    Without ``density`` (g/mL) it is looked up by name in the reference table, else taken as 2.6 and
    marked assumed. Refused when the name or an alias is another material's.
    """
    refuse_unless(by, rights.STORE)
    name, aliases = tidy(name), _tidy_all(aliases)
    _refuse_taken(name, aliases)
    density, density_source = _density(name, density, density_source)
    try:
        with transaction.atomic():
            material = Material.objects.create(
                name=name,
                role=role,
                density=density,
                density_source=density_source,
                soluble=soluble,
                hazard_words=tidy(hazard_words),
            )
            _set_aliases(material, aliases)
    except IntegrityError as error:
        raise _taken(name) from error
    if opening_g:
        lot = {
            "code": lot_code,
            "supplier": supplier,
            "state": Lot.State.RELEASED,
            "received_on": received_on or timezone.localdate(at),
        }
        _take_in_opening(material, opening_g, opening_price_per_kg or Decimal(0), lot, by, at, raw)
    return material


@dataclass(frozen=True, kw_only=True)
class NewMaterial:
    """One row of the page where a whole store is typed in."""

    name: str
    role: str = Material.Role.PLAIN
    hazard_words: str = ""
    opening_g: Decimal | None = None
    opening_price_per_kg: Decimal | None = None


class RowRefused(Refused):
    """One row of several can't be taken; ``row`` counts from 0 and ``cell`` is its column."""

    def __init__(self, row: int, refusal: Refused) -> None:
        self.row, self.cell = row, refusal.field
        super().__init__(refusal.sentence)


@act("several materials added")
def add_materials(
    *,
    rows: Sequence[NewMaterial],
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Material:
    """Several materials in one go, all or none. The last of them comes back."""
    refuse_unless(by, rights.STORE)
    if not rows:
        raise Refused("No row is filled in yet.")
    for number, row in enumerate(rows):
        try:
            material = add_material(**vars(row), by=by, at=at, raw=raw)
        except Refused as refusal:
            raise RowRefused(number, refusal) from refusal
    return material


@act("material changed", about="material")
def change_material(
    *,
    material: Material,
    name: str,
    role: str,
    density: Decimal | None,
    density_source: str = "",
    soluble: bool,
    hazard_words: str,
    aliases: Sequence[str],
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Material:
    """The details of a material; made batches and printed labels keep what they said.

    The name it had stays known: it becomes an alias. Density as in ``add_material``.
    """
    refuse_unless(by, rights.STORE)
    material = Material.objects.select_for_update().get(pk=material.pk)
    name, aliases = tidy(name), _tidy_all(aliases)
    if name.casefold() != material.name.casefold():
        aliases = _tidy_all([*aliases, material.name])
    _refuse_taken(name, aliases, but=material.pk)
    if density is not None and density == material.density:
        density_source = density_source or material.density_source
    density, density_source = _density(name, density, density_source)
    material.name, material.role, material.soluble = name, role, soluble
    material.density, material.density_source = density, density_source
    material.hazard_words = tidy(hazard_words)
    fields = ["name", "role", "density", "density_source", "soluble", "hazard_words"]
    try:
        with transaction.atomic():
            material.save(update_fields=fields)
            _set_aliases(material, aliases)
    except IntegrityError as error:
        raise _taken(name) from error
    return material


@act("alias added", about="material")
def add_alias(
    *,
    material: Material,
    name: str,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Material:
    """One more name for a material, as a recipe or a bag spells it."""
    refuse_unless(by, rights.STORE)
    material = Material.objects.select_for_update().get(pk=material.pk)
    name = tidy(name)
    known = known_names().find(name)
    if known == material:
        raise Refused(f"{material.name} is already known as {name}.", field="name")
    if known is not None:
        raise Refused(f"{name} is a name of {known.name} already.", field="name")
    try:
        with transaction.atomic():
            Alias.objects.create(material=material, name=name)
    except IntegrityError as error:
        raise _taken(name) from error
    return material


@act("material discontinued", about="material")
def end_material(
    *,
    material: Material,
    reason: str = "",
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Material:
    """No more of it is bought. What is there can be used; recipes with it stay readable."""
    refuse_unless(by, rights.STORE)
    material = Material.objects.select_for_update().get(pk=material.pk)
    if material.state == Material.State.ENDED:
        raise Refused(f"{material.name} is discontinued already.")
    return _set_state(material, Material.State.ENDED)


@act("material brought back", about="material")
def bring_back_material(
    *,
    material: Material,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Material:
    """A discontinued material can be bought again."""
    refuse_unless(by, rights.STORE)
    material = Material.objects.select_for_update().get(pk=material.pk)
    if material.state == Material.State.CURRENT:
        raise Refused(f"{material.name} is not discontinued.")
    return _set_state(material, Material.State.CURRENT)


# --- inside -------------------------------------------------------------------------------------------


def _set_state(material: Material, state: Material.State) -> Material:
    material.state = state
    material.save(update_fields=["state"])
    return material


def _take_in_opening(
    material: Material,
    mass_g: Decimal,
    price_per_kg: Decimal,
    lot: dict[str, Any],
    by: Member | None,
    at: datetime | None,
    raw: str,
) -> None:
    """The first lot; a refusal about it is put beside this form's fields."""
    beside = {"mass_g": "opening", "price_per_kg": "opening_price_per_kg", "code": "lot_code"}
    try:
        take_in(material, Movement.Kind.OPENING, mass_g, price_per_kg, lot, by=by, at=at, raw=raw)
    except Refused as refusal:
        refusal.field = beside.get(refusal.field or "", refusal.field)
        raise


def _density(name: str, density: Decimal | None, source: str) -> tuple[Decimal, str]:
    if density is not None:
        if density <= 1:
            raise Refused("Particles that sink are denser than water: more than 1 g/mL.", field="density")
        return density, tidy(source) or TYPED_SOURCE
    found = density_of(name)
    return (found.density, found.said) if found else (ASSUMED, ASSUMED_SOURCE)


def _tidy_all(names: Sequence[str]) -> list[str]:
    """Each name once, empty ones left out."""
    by_fold = {tidy(name).casefold(): tidy(name) for name in names if tidy(name)}
    return list(by_fold.values())


def _set_aliases(material: Material, aliases: list[str]) -> None:
    """Aliases are details, not history: the journal holds what they were."""
    keep = [name for name in aliases if name.casefold() != material.name.casefold()]
    material.aliases.all().delete()
    Alias.objects.bulk_create(Alias(material=material, name=name) for name in keep)


def _refuse_taken(name: str, aliases: list[str], *, but: int | None = None) -> None:
    if not name:
        raise Refused("A material needs a name.", field="name")
    known = known_names()
    if (other := known.taken([name], by_other_than=but)) is not None:
        raise Refused(f"{name} is in the store already, as {other.name}.", field="name")
    for alias in aliases:
        if (other := known.taken([alias], by_other_than=but)) is not None:
            raise Refused(f"{alias} is a name of {other.name} already.", field="aliases")


def _taken(name: str) -> Refused:
    return Refused(f"{name} is in the store already. Open the page again.", field="name")
