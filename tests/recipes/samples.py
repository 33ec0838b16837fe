"""Rows and typed recipes that the tests of this folder share.

Glazes, densities and target gravities: "demo_studio.md" 2 with its particle densities (frits 2.50,
bentonite 2.35, the rest from the reference table of particle densities).
"""

import html
import re
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.urls import reverse

from studio.materials.models import Material
from studio.people.models import Member
from studio.recipes.models import Line, Version
from studio.recipes.operations.recipes import TypedLine, add_recipe, approve_version
from tests import factories

DENSITIES = {
    "Soda feldspar": "2.605",
    "Potash feldspar": "2.56",
    "Frit A": "2.50",
    "Frit L": "2.50",
    "Silica": "2.648",
    "Kaolin": "2.59",
    "Wollastonite": "2.92",
    "Whiting": "2.71",
    "Zirconium silicate": "4.60",
    "Red iron oxide": "5.25",
    "Bentonite": "2.35",
}
HAZARDS = {"Silica": "silica dust", "Kaolin": "silica dust"}

GANNET_WHITE = "Soda feldspar 22\nFrit A 28\nSilica 17\nKaolin 17\nWollastonite 16"
GANNET_TOP = "Zirconium silicate 10"


def store(**changes: dict[str, Any]) -> dict[str, Material]:
    """The materials above by name; ``changes`` are by name with underscores: ``Frit_A={"soluble": True}``."""
    rows = {}
    for name, density in DENSITIES.items():
        more = changes.get(name.replace(" ", "_"), {})
        hazard = HAZARDS.get(name, "")
        rows[name], _ = Material.objects.update_or_create(
            name=name,
            defaults={"density": Decimal(density), "density_source": "table", "hazard_words": hazard} | more,
        )
    return rows


def lines(base: dict[str, str], on_top: dict[str, str] | None = None) -> list[TypedLine]:
    """Typed lines of materials by name and amount."""
    rows = store()
    both = [(Line.Kind.BASE, base), (Line.Kind.ADDITION, on_top or {})]
    return [
        TypedLine(kind=kind, material=rows[name], typed_name=name, parts=Decimal(parts), typed=parts)
        for kind, amounts in both
        for name, parts in amounts.items()
    ]


def recipe_args(**changes: Any) -> dict[str, Any]:
    """Arguments of ``add_recipe`` for Linseed, cone 6."""
    base = {"Potash feldspar": "27", "Frit L": "19", "Whiting": "11", "Kaolin": "17", "Silica": "26"}
    args: dict[str, Any] = {
        "name": "Linseed",
        "look": "transparent gloss, amber",
        "cone": "6",
        "target_sg": Decimal("1.43"),
        "sieve_mesh": 80,
        "lines": lines(base, {"Red iron oxide": "4.5"}) if "lines" not in changes else None,
        "key": uuid4(),
    }
    return args | changes


def draft(by: Member, **changes: Any) -> Version:
    """Version 1 of Linseed, not approved."""
    return add_recipe(by=by, **recipe_args(**changes))


def approved(by: Member, **changes: Any) -> Version:
    """Version 1 of Linseed, approved by Tamsin."""
    return approve_version(version=draft(by, **changes), by=tamsin(), key=uuid4())


def tamsin() -> Member:
    """The second technician, who approves."""
    return factories.person("Tamsin", "technician")


def form_data(**changes: Any) -> dict[str, Any]:
    """What the page for a new recipe sends: Gannet White."""
    data = {
        "key": str(uuid4()),
        "name": "Gannet White",
        "look": "opaque gloss, clean white",
        "cone": "6",
        "atmosphere": "oxidation",
        "colour": "#f4f1ea",
        "note": "liner and whole-piece dip",
        "settles_min": "",
        "typed_as": "percent",
        "base": GANNET_WHITE,
        "on_top": GANNET_TOP,
        "target_sg": "1.45",
        "half_window": "0.02",
        "sieve_mesh": "80",
    }
    return data | changes


def text(answer) -> str:
    """The words of a page, without its markup."""
    bare = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return " ".join(html.unescape(bare).replace("\u00a0", " ").replace("\u2009", " ").split())


def page_of(recipe) -> str:
    return reverse("recipe", kwargs={"pk": recipe.pk})


def act_of(version, act) -> str:
    return reverse(act, kwargs={"pk": version.recipe_id, "number": version.number})
