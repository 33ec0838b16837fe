"""Versions: new ones, approved by another person, withdrawn, their base brought to 100; never changed."""

from decimal import Decimal
from uuid import uuid4

import pytest

from studio.errors import NotAllowed, Refused
from studio.people.models import Entry
from studio.recipes.models import Line, Version
from studio.recipes.operations.recipes import (
    add_version,
    approve_version,
    normalise_version,
    retire_recipe,
    withdraw_version,
)
from tests.recipes.samples import approved, draft, lines, tamsin


def next_version(recipe, by, **changes):
    args = {
        "lines": lines({"Silica": "40", "Kaolin": "58.7"}, {"Red iron oxide": "4"}),
        "reason": "less silica",
    }
    args |= {"target_sg": Decimal("1.44"), "key": uuid4()}
    return add_version(recipe=recipe, by=by, **args | changes)


def amounts(version) -> list[tuple[str, str, Decimal]]:
    return list(version.lines.values_list("kind", "typed_name", "parts"))


# --- approve ------------------------------------------------------------------------------------------


def test_another_technician_approves_and_it_is_in_force(technician):
    version = approve_version(version=draft(technician), by=tamsin(), key=uuid4())
    assert (version.state, version.decided_by.name) == ("approved", "Tamsin")
    assert version.decided_at is not None
    assert version.recipe.current == version


def test_the_maker_cannot_approve(technician):
    version = draft(technician)
    with pytest.raises(NotAllowed, match="You made version 1 of Linseed, so somebody else approves it"):
        approve_version(version=version, by=technician, key=uuid4())
    version.refresh_from_db()
    assert version.state == "draft"
    assert version.recipe.current is None


def test_a_manager_may_approve_and_a_member_may_not(technician, manager, member):
    version = draft(technician)
    with pytest.raises(NotAllowed, match="to change recipes"):
        approve_version(version=version, by=member, key=uuid4())
    assert approve_version(version=version, by=manager, key=uuid4()).state == "approved"


def test_a_version_is_approved_once(technician):
    version = approved(technician)
    with pytest.raises(Refused, match="Version 1 is approved already"):
        approve_version(version=version, by=tamsin(), key=uuid4())


def test_the_same_key_twice_is_one_approval(technician):
    version, other, key = draft(technician), tamsin(), uuid4()
    first = approve_version(version=version, by=other, key=key)
    assert approve_version(version=version, by=other, key=key) == first
    assert Entry.objects.filter(act="recipe version approved").count() == 1


# --- add and withdraw ---------------------------------------------------------------------------------


def test_a_new_version_leaves_the_one_in_force_alone(technician):
    first = approved(technician)
    second = next_version(first.recipe, technician)
    assert (second.number, second.state, second.reason) == (2, "draft", "less silica")
    first.recipe.refresh_from_db()
    assert first.recipe.current == first
    approve_version(version=second, by=tamsin(), key=uuid4())
    first.recipe.refresh_from_db()
    assert first.recipe.current == second
    first.refresh_from_db()
    assert first.state == "approved"


def test_a_new_version_needs_a_reason(technician):
    recipe = draft(technician).recipe
    with pytest.raises(Refused, match="few words why") as refusal:
        next_version(recipe, technician, reason="  ")
    assert refusal.value.field == "reason"
    assert Version.objects.count() == 1


def test_a_withdrawn_draft_stays_to_be_read_and_is_never_approved(technician):
    version = withdraw_version(version=draft(technician), by=technician, key=uuid4())
    assert (version.state, version.lines.count()) == ("withdrawn", 6)
    with pytest.raises(Refused, match="Version 1 is withdrawn already"):
        approve_version(version=version, by=tamsin(), key=uuid4())
    assert next_version(version.recipe, technician).number == 2


def test_an_approved_version_is_not_withdrawn(technician):
    with pytest.raises(Refused, match="Version 1 is approved already"):
        withdraw_version(version=approved(technician), by=technician, key=uuid4())


def test_a_retired_recipe_takes_no_versions(technician):
    version = draft(technician)
    retire_recipe(recipe=version.recipe, reason="replaced", by=technician, key=uuid4())
    acts = (
        lambda: next_version(version.recipe, technician),
        lambda: approve_version(version=version, by=tamsin(), key=uuid4()),
        lambda: normalise_version(version=version, by=technician, key=uuid4()),
    )
    for do in acts:
        with pytest.raises(Refused, match="Linseed is retired"):
            do()
    assert list(Version.objects.values_list("state", flat=True)) == ["draft"]


@pytest.mark.parametrize("who", ["member", "helper"])
def test_others_than_technicians_do_nothing_to_versions(technician, who, request):
    other = request.getfixturevalue(who)
    version = draft(technician, lines=lines({"Silica": "40", "Kaolin": "58.7"}))
    acts = (
        lambda: next_version(version.recipe, other),
        lambda: withdraw_version(version=version, by=other, key=uuid4()),
        lambda: normalise_version(version=version, by=other, key=uuid4()),
    )
    for do in acts:
        with pytest.raises(NotAllowed, match="to change recipes"):
            do()
    assert list(Version.objects.values_list("state", flat=True)) == ["draft"]


# --- normalise ----------------------------------------------------------------------------------------


def test_a_base_of_98_7_becomes_a_new_draft_of_100(technician):
    # 98.7: "edge_cases.md" case 60. 40 / 0.987 = 40.5268, 58.7 / 0.987 = 59.4732, 4 / 0.987 = 4.0527.
    first = draft(technician, lines=lines({"Silica": "40", "Kaolin": "58.7"}, {"Red iron oxide": "4"}))
    before = amounts(first)
    second = normalise_version(version=first, by=technician, key=uuid4())
    assert amounts(first) == before
    assert (second.number, second.state, second.typed_as) == (2, "draft", "percent")
    assert second.reason == "version 1 with its base brought to 100"
    assert amounts(second) == [
        ("base", "Silica", Decimal("40.5268")),
        ("base", "Kaolin", Decimal("59.4732")),
        ("addition", "Red iron oxide", Decimal("4.0527")),
    ]
    assert (second.target_sg, second.particle_density) == (first.target_sg, first.particle_density)


def test_a_base_of_100_is_left_alone(technician):
    version = draft(technician)
    with pytest.raises(Refused, match="adds up to 100 already"):
        normalise_version(version=version, by=technician, key=uuid4())
    assert Version.objects.count() == 1


def test_a_line_too_small_for_four_places_is_named(technician):
    version = draft(technician, lines=lines({"Silica": "1000000", "Kaolin": "0.1"}))
    with pytest.raises(Refused, match=r"Kaolin would shrink to less than 0\.0001 %"):
        normalise_version(version=version, by=technician, key=uuid4())
    assert Version.objects.count() == 1


# --- never changed ------------------------------------------------------------------------------------


def test_no_act_changes_lines_or_numbers_of_a_version(technician):
    """Every act there is on a recipe, one after another: what stood in version 1 stands there still."""
    facts = ("number", "typed_as", "target_sg", "half_window", "sieve_mesh", "particle_density", "soluble")
    first = draft(technician, lines=lines({"Silica": "40", "Kaolin": "58.7"}))

    def stands():
        return Version.objects.values(*facts, "reason", "made_by", "made_at").get(pk=first.pk), list(
            Line.objects.filter(version=first).values()
        )

    before = stands()
    normalise_version(version=first, by=technician, key=uuid4())
    approve_version(version=first, by=tamsin(), key=uuid4())
    second = next_version(first.recipe, technician)
    withdraw_version(version=second, by=technician, key=uuid4())
    retire_recipe(recipe=first.recipe, reason="replaced", by=technician, key=uuid4())
    assert stands() == before
    assert Version.objects.count() == 3


def test_the_same_material_twice_is_kept_as_two_lines(technician):
    rows = lines({"Silica": "20", "Kaolin": "60"}) + lines({"Silica": "20"})
    version = draft(technician, lines=rows)
    assert [name for _, name, _ in amounts(version)] == ["Silica", "Kaolin", "Silica"]
