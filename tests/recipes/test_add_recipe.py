"""A recipe is added, its details changed, retired and brought back."""

from decimal import Decimal
from uuid import uuid4

import pytest

from studio.errors import KeyUsedOtherwise, NotAllowed, Refused
from studio.people.models import Entry
from studio.recipes import queries
from studio.recipes.models import Line, Recipe, Version
from studio.recipes.operations import recipes
from studio.recipes.operations.recipes import (
    add_recipe,
    bring_back_recipe,
    change_recipe,
    retire_recipe,
)
from tests.recipes.samples import approved, draft, lines, recipe_args, store


def details(recipe: Recipe, **changes):
    names = ("name", "look", "cone", "atmosphere", "colour", "note", "settles_min")
    return {name: getattr(recipe, name) for name in names} | changes


def test_a_recipe_is_kept_as_a_draft_with_its_lines_as_typed(technician):
    version = draft(technician)
    assert (version.number, version.state, version.made_by) == (1, "draft", technician)
    assert version.recipe.current is None
    assert [(line.position, line.kind, line.typed_name, line.typed) for line in version.lines.all()] == [
        (1, "base", "Potash feldspar", "27"),
        (2, "base", "Frit L", "19"),
        (3, "base", "Whiting", "11"),
        (4, "base", "Kaolin", "17"),
        (5, "base", "Silica", "26"),
        (6, "addition", "Red iron oxide", "4.5"),
    ]


@pytest.mark.parametrize(
    ("base", "on_top", "density"),
    [
        # "demo_studio.md" 2: Gannet White 2.731, Linseed 2.649
        (
            {"Soda feldspar": "22", "Frit A": "28", "Silica": "17", "Kaolin": "17", "Wollastonite": "16"},
            {"Zirconium silicate": "10"},
            "2.731",
        ),
        (
            {"Potash feldspar": "27", "Frit L": "19", "Whiting": "11", "Kaolin": "17", "Silica": "26"},
            {"Red iron oxide": "4.5"},
            "2.649",
        ),
    ],
)
def test_particle_density_is_the_harmonic_mean_over_base_and_additions(technician, base, on_top, density):
    version = draft(technician, lines=lines(base, on_top))
    assert version.particle_density == Decimal(density)


def test_a_soluble_material_marks_the_version(technician):
    assert draft(technician).soluble is False
    store(Frit_L={"soluble": True})
    args = recipe_args(name="Other")
    for line in args["lines"]:
        line.material.refresh_from_db()
        line.material.soluble = line.material.name == "Frit L"
    assert add_recipe(by=technician, **args).soluble is True


def test_the_same_key_twice_is_one_recipe(technician):
    args = recipe_args()
    assert add_recipe(by=technician, **args) == add_recipe(by=technician, **args)
    assert Recipe.objects.count() == 1
    with pytest.raises(KeyUsedOtherwise):
        add_recipe(by=technician, **args | {"name": "Linseed Two"})
    assert Recipe.objects.count() == 1


def test_a_name_is_taken_in_any_case(technician):
    draft(technician)
    with pytest.raises(Refused, match="There is already a recipe called Linseed"):
        draft(technician, name="  lINSEED ")
    assert Recipe.objects.count() == 1


def test_a_name_taken_between_looking_and_writing_is_refused_all_the_same(technician, monkeypatch):
    draft(technician)
    monkeypatch.setattr(recipes, "_refuse_taken", lambda *args, **kwargs: None)
    with pytest.raises(Refused, match="There is already a recipe called LINSEED"):
        draft(technician, name="LINSEED")
    assert Recipe.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "field", "said"),
    [
        ({"name": "  "}, "name", "needs a name"),
        ({"cone": "6.5"}, "cone", "06 and 6 are different"),
        ({"cone": "11"}, "cone", "Choose a cone"),
        ({"atmosphere": "smoke"}, "atmosphere", "oxidation, reduction or neutral"),
        ({"colour": "red"}, "colour", "six digits"),
        ({"settles_min": Decimal(0)}, "settles_min", "more than 0 minutes"),
        ({"typed_as": "cups"}, "typed_as", "percent, parts or grams"),
        ({"lines": []}, "base", "The base is empty"),
        ({"target_sg": Decimal("2.65")}, "target_sg", "particle density of 2.649"),
        ({"half_window": Decimal(0)}, "half_window", "more than 0"),
        ({"half_window": Decimal("0.43")}, "half_window", "stay above 1"),
    ],
)
def test_what_is_no_recipe_writes_nothing(technician, change, field, said):
    with pytest.raises(Refused, match=said) as refusal:
        draft(technician, **change)
    assert refusal.value.field == field
    assert not Recipe.objects.exists()
    assert not Entry.objects.exists()


@pytest.mark.parametrize("bad", ["0", "-1", "NaN", "Infinity", "1000001", "0.00001"])
def test_an_amount_out_of_range_is_refused_whoever_sends_it(technician, bad):
    rows = lines({"Silica": "10", "Kaolin": bad})
    with pytest.raises(Refused) as refusal:
        draft(technician, lines=rows)
    assert refusal.value.field == "base"
    assert not Line.objects.exists()


@pytest.mark.parametrize("who", ["member", "helper"])
def test_others_than_technicians_are_refused(who, request):
    with pytest.raises(NotAllowed, match="to change recipes"):
        draft(request.getfixturevalue(who))
    assert not Recipe.objects.exists()


def test_nobody_is_refused(db):
    with pytest.raises(NotAllowed, match="to change recipes"):
        draft(None)


def test_details_change_and_versions_stay(technician):
    version = approved(technician)
    before = list(version.lines.values())
    changed = change_recipe(
        recipe=version.recipe,
        **details(version.recipe, name="Linseed Oil", cone="06", settles_min=Decimal("7.5")),
        by=technician,
        key=uuid4(),
    )
    assert (changed.name, changed.cone, changed.settles_min) == ("Linseed Oil", "06", Decimal("7.5"))
    assert changed.current == version
    assert list(version.lines.values()) == before
    entry = Entry.objects.first()
    assert entry.about_id == changed.pk
    assert entry.content["name"] == "Linseed Oil"


def test_a_change_to_a_taken_name_writes_nothing(technician):
    draft(technician)
    other = draft(technician, name="Oat Husk").recipe
    with pytest.raises(Refused, match="already a recipe called Linseed"):
        change_recipe(recipe=other, **details(other, name="linseed"), by=technician, key=uuid4())
    other.refresh_from_db()
    assert other.name == "Oat Husk"


def test_a_retired_recipe_cannot_be_asked_for_until_it_is_brought_back(technician):
    recipe = approved(technician).recipe
    assert list(queries.recipes_to_ask_for()) == [recipe]
    recipe = retire_recipe(recipe=recipe, reason="settles hard", by=technician, key=uuid4())
    assert list(queries.recipes_to_ask_for()) == []
    with pytest.raises(Refused, match="Linseed is retired"):
        queries.version_to_make(recipe)
    with pytest.raises(Refused, match="already retired"):
        retire_recipe(recipe=recipe, reason="again", by=technician, key=uuid4())
    recipe = bring_back_recipe(recipe=recipe, by=technician, key=uuid4())
    assert queries.version_to_make(recipe) == recipe.current
    with pytest.raises(Refused, match="in use already"):
        bring_back_recipe(recipe=recipe, by=technician, key=uuid4())


def test_retiring_needs_a_reason_and_a_technician(technician, member):
    recipe = draft(technician).recipe
    with pytest.raises(Refused, match="few words why"):
        retire_recipe(recipe=recipe, reason=" ", by=technician, key=uuid4())
    with pytest.raises(NotAllowed):
        retire_recipe(recipe=recipe, reason="no", by=member, key=uuid4())
    with pytest.raises(NotAllowed):
        bring_back_recipe(recipe=recipe, by=member, key=uuid4())
    with pytest.raises(NotAllowed):
        change_recipe(recipe=recipe, **details(recipe), by=member, key=uuid4())
    recipe.refresh_from_db()
    assert recipe.state == Recipe.State.CURRENT


def test_a_recipe_without_an_approved_version_cannot_be_asked_for(technician):
    recipe = draft(technician).recipe
    assert list(queries.recipes_to_ask_for()) == []
    with pytest.raises(Refused, match="no approved version yet"):
        queries.version_to_make(recipe)
    assert Version.objects.get().state == Version.State.DRAFT
