"""The names a material goes by, read as people type them: any case, any number of spaces."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from django.db.models import Value

from studio.materials.densities import row_of
from studio.materials.models import Alias, Material

NEAR = 0.6  # how alike two names must be to be offered, 0 to 1; from memory, tried on the demo names
MOST_OFFERED = 3


def tidy(name: str) -> str:
    """The name without spaces around it and with single ones inside."""
    return " ".join(name.split())


def folded(name: str) -> str:
    """What two spellings of one name have in common. Done here because SQLite folds ASCII alone."""
    return tidy(name).casefold()


@dataclass(frozen=True)
class KnownNames:
    """Every name and alias in the store, read once: for a recipe's list of lines."""

    materials: dict[int, Material]
    ids: dict[str, int]

    def find(self, typed_name: str) -> Material | None:
        """The material with exactly this name or alias, or None."""
        number = self.ids.get(folded(typed_name))
        return None if number is None else self.materials[number]

    def suggestions(self, typed_name: str) -> list[Material]:
        """At most three: what the reference table knows as the same thing, then names that are like it."""
        near = get_close_matches(folded(typed_name), self.ids, n=2 * MOST_OFFERED, cutoff=NEAR)
        numbers = dict.fromkeys(self.ids[name] for name in [*self._same_thing(typed_name), *near])
        return [self.materials[number] for number in list(numbers)[:MOST_OFFERED]]

    def _same_thing(self, typed_name: str) -> list[str]:
        row = row_of(typed_name)
        return [name for name in self.ids if row_of(name) == row] if row else []

    def taken(self, names: Iterable[str], *, by_other_than: int | None = None) -> Material | None:
        """The first material, other than that one, that already goes by one of the names."""
        for name in names:
            found = self.find(name)
            if found is not None and found.pk != by_other_than:
                return found
        return None


def known_names() -> KnownNames:
    """The names as they stand: two queries."""
    materials = {material.pk: material for material in Material.objects.all()}
    aliases = Alias.objects.values_list("name", "material_id")
    ids = {folded(name): number for name, number in aliases}
    ids |= {folded(material.name): number for number, material in materials.items()}
    return KnownNames(materials, ids)


def ids_by_name() -> dict[str, int]:
    """The id of each material by its folded names, its own before another's alias: one query."""
    aliases = Alias.objects.order_by().values_list("name", "material_id", Value(0))
    own = Material.objects.order_by().values_list("name", "pk", Value(1))
    rows = sorted(aliases.union(own, all=True), key=lambda row: row[2])
    return {folded(name): number for name, number, _ in rows}


def find_material(typed_name: str) -> Material | None:
    """The material with exactly this name or alias, in any case, or None."""
    return known_names().find(typed_name)


def suggestions(typed_name: str) -> list[Material]:
    """At most three materials it may be another name for, the likeliest first."""
    return known_names().suggestions(typed_name)
