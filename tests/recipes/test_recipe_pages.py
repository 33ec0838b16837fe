"""The page of one recipe: read, compared, approved by another, changed, retired."""

from decimal import Decimal
from uuid import uuid4

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.materials.models import Material
from studio.recipes.models import Recipe, Version
from studio.recipes.operations.recipes import add_version
from tests.recipes.samples import act_of, approved, draft, form_data, lines, page_of, tamsin, text


def second(version, by, **changes):
    args = {"lines": lines({"Silica": "40", "Kaolin": "58.7"}), "reason": "less silica", "key": uuid4()}
    args["target_sg"] = Decimal("1.44")
    return add_version(recipe=version.recipe, by=by, **args | changes)


# --- the recipe's page --------------------------------------------------------------------------------


def test_a_member_reads_the_version_in_force_and_no_act(client, technician, member):
    version = approved(technician, note="thin on texture")
    client.force_login(member)
    answer = client.get(page_of(version.recipe))
    page = text(answer)
    assert "Version 1 in force" in page
    assert "What to know. thin on texture" in page
    assert "Specific gravity 1.430 ± 0.020" in page
    assert "In all 104.5 %" in page
    assert "New version" not in page
    assert "/change/" not in answer.content.decode()


def test_the_maker_reads_who_must_approve_and_has_no_button(client, technician, manager):
    version = draft(technician)
    tamsin()
    client.force_login(technician)
    answer = client.get(page_of(version.recipe))
    assert "You made this version, so somebody else approves it: Odile or Tamsin." in text(answer)
    assert act_of(version, "approve-version") not in answer.content.decode()
    alone = client.get(act_of(version, "approve-version"))
    assert "somebody else approves it: Odile or Tamsin." in text(alone)
    assert "Approve version 1</button>" not in alone.content.decode()


def test_a_maker_alone_is_told_what_to_do(client, technician):
    version = draft(technician)
    client.force_login(technician)
    said = "nobody here has that right yet. A manager invites a second technician under People."
    assert said in text(client.get(page_of(version.recipe)))


def test_another_technician_reads_it_over_and_approves(client, technician):
    version = draft(technician)
    client.force_login(tamsin())
    address = act_of(version, "approve-version")
    assert address in client.get(page_of(version.recipe)).content.decode()
    page = client.get(address)
    assert "Approve version 1</button>" in page.content.decode()
    assert "Red iron oxide on top 4.5 %" in text(page)
    key = page.context["form"]["key"].value()
    answer = client.post(address, {"key": key})
    assert answer.status_code == 303
    assert "Linseed, version 1 is in force. New batches are made of it." in text(
        client.get(answer.headers["Location"])
    )
    version.recipe.refresh_from_db()
    assert version.recipe.current == version
    assert client.post(address, {"key": key}).status_code == 303
    late = client.post(address, {"key": str(uuid4())})
    assert late.status_code == 422
    assert "Version 1 is approved already." in text(late)


def test_the_maker_is_refused_also_without_the_button(client, bram):
    version = draft(bram)
    answer = client.post(act_of(version, "approve-version"), {"key": str(uuid4())})
    assert answer.status_code == 422
    assert "You made version 1 of Linseed, so somebody else approves it" in text(answer)
    version.refresh_from_db()
    assert version.state == "draft"


def test_two_versions_stand_side_by_side_with_differences_in_words(client, bram):
    first = approved(bram)
    second(first, bram, lines=lines({"Potash feldspar": "27", "Kaolin": "17", "Silica": "56"}), sieve_mesh=80)
    page = text(client.get(page_of(first.recipe)))
    assert "Version 1 beside version 2" in page
    assert "Potash feldspar 27 % 27 % the same" in page
    assert "Frit L 19 % – only in version 1" in page
    assert "Silica 26 % 56 % more in version 2, by 30 % of the base" in page
    assert "Red iron oxide, on top 4.5 % – only in version 1" in page
    assert "Specific gravity 1.43 1.44 1.44 instead of 1.43" in page
    assert "Sieve 80 mesh 80 mesh the same" in page


def test_a_side_without_a_sieve_says_so(client, bram):
    first = approved(bram)
    second(first, bram)
    assert "Sieve 80 mesh – none instead of 80 mesh" in text(client.get(page_of(first.recipe)))


def test_the_way_to_ask_is_open_only_for_a_version_in_force(client, technician, member):
    version = draft(technician)
    client.force_login(member)
    assert reverse("ask") + "?version=" not in client.get(page_of(version.recipe)).content.decode()
    kept = approved(technician, name="Oat Husk")
    assert f"{reverse('ask')}?version={kept.pk}" in client.get(page_of(kept.recipe)).content.decode()


def test_the_same_glaze_in_other_amounts_reads_the_same(client, bram):
    first = approved(bram, lines=lines({"Silica": "60", "Kaolin": "40"}), sieve_mesh=None)
    grams = lines({"Silica": "600", "Kaolin": "400"})
    second(first, bram, lines=grams, typed_as="grams", target_sg=first.target_sg)
    assert "Both make the same glaze." in text(client.get(page_of(first.recipe)))


def test_any_other_version_can_be_set_beside(client, bram):
    first = approved(bram)
    for _ in range(2):
        second(first, bram)
    assert "Version 1 beside version 2" in text(client.get(page_of(first.recipe) + "?beside=2"))
    assert "Version 1 beside version 3" in text(client.get(page_of(first.recipe) + "?beside=3"))
    for nonsense in ("9", "x", "", "1", "9" * 400):
        assert client.get(page_of(first.recipe) + f"?beside={nonsense}").status_code == 200


def test_a_density_changed_in_the_store_is_said_and_changes_nothing(client, bram):
    version = approved(bram)
    Material.objects.filter(name="Silica").update(density="2.4")
    page = text(client.get(page_of(version.recipe)))
    assert "This version was kept with 2.649 g/mL, by the densities in the store that day" in page
    assert "Particle density 2.649 g/mL" in page


def test_the_page_asks_few_questions_however_many_versions(client, bram):
    first = approved(bram)
    second(first, bram)
    client.get(page_of(first.recipe))
    with CaptureQueriesContext(connection) as few:
        client.get(page_of(first.recipe))
    for _ in range(12):
        second(first, bram)
    with CaptureQueriesContext(connection) as many:
        client.get(page_of(first.recipe))
    assert len(many) == len(few) <= 12


# --- other acts by page -------------------------------------------------------------------------------


def test_a_new_version_starts_from_the_one_in_force_and_back_comes_the_same(client, bram):
    first = approved(bram)
    address = reverse("add-version", kwargs={"pk": first.recipe_id})
    form = client.get(address).context["form"]
    assert form.initial["base"].splitlines()[0] == "Potash feldspar: 27"
    data = {name: value for name, value in form.initial.items() if value is not None}
    answer = client.post(address, data | {"key": str(uuid4()), "reason": "nothing but a try"})
    assert answer.status_code == 303
    again = Version.objects.get(number=2)
    facts = ("kind", "material", "typed_name", "parts", "typed")
    assert list(again.lines.values_list(*facts)) == list(first.lines.values_list(*facts))
    assert (again.target_sg, again.half_window, again.sieve_mesh) == (first.target_sg, first.half_window, 80)


def test_a_new_version_without_a_reason_keeps_what_was_typed(client, bram):
    first = approved(bram)
    address = reverse("add-version", kwargs={"pk": first.recipe_id})
    answer = client.post(address, form_data(reason=""))
    assert answer.status_code == 422
    assert "Say in a few words why there is a new version." in text(answer)
    assert "Wollastonite 16" in text(answer)
    assert Version.objects.count() == 1
    assert client.get(address + "?from=7").status_code == 404


def test_a_base_is_brought_to_100_as_a_second_step(client, bram):
    version = draft(bram, lines=lines({"Silica": "40", "Kaolin": "58.7"}))
    address = act_of(version, "normalise-version")
    assert address in client.get(page_of(version.recipe)).content.decode()
    page = text(client.get(address))
    assert "its base adds up to 98.7 %" in page
    assert "40.5268 %" in page
    assert client.post(address, {"key": str(uuid4())}).status_code == 303
    assert sum(Version.objects.get(number=2).lines.values_list("parts", flat=True)) == 100
    already = reverse("normalise-version", kwargs={"pk": version.recipe_id, "number": 2})
    assert already not in client.get(page_of(version.recipe)).content.decode()
    assert "adds up to 100 already" in text(client.get(already))
    assert client.post(already, {"key": str(uuid4())}).status_code == 422


def test_a_draft_is_withdrawn(client, bram):
    version = draft(bram)
    answer = client.post(act_of(version, "withdraw-version"), {"key": str(uuid4())})
    page = text(client.get(answer.headers["Location"]))
    assert "Linseed, version 1 is withdrawn. It stays to be read." in page
    assert "Version 1 withdrawn" in page


def test_details_are_changed(client, bram):
    version = approved(bram)
    address = reverse("change-recipe", kwargs={"pk": version.recipe_id})
    data = {name: value for name, value in client.get(address).context["form"].initial.items() if value}
    answer = client.post(address, data | {"key": str(uuid4()), "cone": "06", "note": "keep it thin"})
    assert answer.status_code == 303
    assert "cone 06, oxidation" in text(client.get(answer.headers["Location"]))
    assert client.post(address, data | {"key": str(uuid4()), "name": ""}).status_code == 422
    version.recipe.refresh_from_db()
    assert (version.recipe.name, version.recipe.note) == ("Linseed", "keep it thin")


def test_a_recipe_is_retired_and_brought_back(client, bram):
    recipe = approved(bram).recipe
    retire = reverse("retire-recipe", kwargs={"pk": recipe.pk})
    assert client.post(retire, {"key": str(uuid4()), "reason": ""}).status_code == 422
    client.post(retire, {"key": str(uuid4()), "reason": "settles hard"})
    page = text(client.get(page_of(recipe)))
    assert "Retired: nobody can ask for it." in page
    assert "Recipe retired : settles hard" in page
    assert "New version" not in page
    client.post(reverse("bring-back-recipe", kwargs={"pk": recipe.pk}), {"key": str(uuid4())})
    recipe.refresh_from_db()
    assert recipe.state == Recipe.State.CURRENT


def test_markup_in_names_and_notes_is_shown_as_text(client, bram):
    version = approved(bram, name="<b>Ash</b>", note="<script>alert(1)</script>", look="a & b")
    content = client.get(page_of(version.recipe)).content.decode()
    assert "<script>alert" not in content
    assert "&lt;b&gt;Ash&lt;/b&gt;" in content
