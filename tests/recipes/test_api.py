"""The same acts and questions over the API."""

from uuid import uuid4

import pytest

from studio.recipes.models import Recipe, Version
from tests.recipes.samples import approved, draft, form_data, lines, tamsin

API = "/api/v1/"


def post(client, address, body=None, key=None):
    return client.post(
        API + address,
        body or {},
        content_type="application/json",
        headers={"Idempotency-Key": str(key or uuid4())},
    )


def body(**changes):
    data = form_data(**changes)
    data.pop("key")
    data["sieve_mesh"] = int(data["sieve_mesh"])
    return {name: value for name, value in data.items() if value != ""}


def test_a_recipe_is_sent_as_text_and_comes_back_as_lines(client, bram):
    answer = post(client, "recipes/add-recipe/", body())
    assert answer.status_code == 201
    version = answer.json()
    assert (version["number"], version["state"], version["in_force"]) == (1, "draft", False)
    assert (version["target_sg"], version["particle_density"]) == ("1.4500", "2.731")
    assert version["lines"][0] == {
        "position": 1,
        "kind": "base",
        "material": version["lines"][0]["material"],
        "material_name": "Soda feldspar",
        "typed_name": "Soda feldspar",
        "parts": "22.0000",
        "typed": "22",
    }
    assert version["lines"][-1]["kind"] == "addition"
    assert client.get(f"{API}versions/{version['id']}/").json() == version


def test_the_same_key_answers_with_the_first_recipe(client, bram):
    key = uuid4()
    first, again = (post(client, "recipes/add-recipe/", body(), key) for _ in range(2))
    assert first.json() == again.json()
    assert Recipe.objects.count() == 1
    other = post(client, "recipes/add-recipe/", body(name="Other"), key)
    assert other.status_code == 409
    assert "other content" in other.json()["problem"]


def test_a_wrong_line_is_named_beside_its_field(client, bram):
    answer = post(client, "recipes/add-recipe/", body(base="Silica 1,450\nMoon dust 3"))
    assert answer.status_code == 422
    said = answer.json()["fields"]["base"]
    assert said[0].startswith("Line 1, “Silica 1,450”")
    assert "“Moon dust” is not in the store." in said[1]
    assert not Recipe.objects.exists()


@pytest.mark.parametrize("bad", [[], ["Silica 22"], {"amount": 1}, 22, True, None, "\x00"])
def test_strange_bodies_are_answered_not_crashed_on(client, bram, bad):
    answer = post(client, "recipes/add-recipe/", body() | {"base": bad})
    assert answer.status_code == 422
    assert "base" in answer.json()["fields"]
    assert post(client, "recipes/add-recipe/", [bad]).status_code == 400


def test_the_whole_way_from_draft_to_retired(client, bram):
    first = post(client, "recipes/add-recipe/", body(base="Silica 40\nKaolin 58.7")).json()
    refused = post(client, f"versions/{first['id']}/approve-version/")
    assert refused.status_code == 403
    assert "somebody else approves it" in refused.json()["problem"]
    second = post(client, f"versions/{first['id']}/normalise-version/").json()
    assert [line["parts"] for line in second["lines"]] == ["40.5268", "59.4732", "10.1317"]
    third = post(
        client,
        f"recipes/{first['recipe']}/add-version/",
        {
            "base": "Silica 50\nKaolin 50",
            "typed_as": "percent",
            "target_sg": 1.44,
            "half_window": 0.02,
            "reason": "x",
        },
    ).json()
    assert post(client, f"versions/{third['id']}/withdraw-version/").json()["state"] == "withdrawn"
    client.force_login(tamsin())
    assert post(client, f"versions/{second['id']}/approve-version/").json()["in_force"] is True
    late = post(client, f"versions/{third['id']}/approve-version/")
    assert late.status_code == 409
    changed = post(
        client,
        f"recipes/{first['recipe']}/change-recipe/",
        {"name": "Heron", "cone": "10", "atmosphere": "reduction", "colour": "#202020"},
    ).json()
    assert (changed["name"], changed["cone"], changed["current"]) == ("Heron", "10", second["id"])
    retired = post(client, f"recipes/{first['recipe']}/retire-recipe/", {"reason": "replaced"})
    assert retired.json()["state"] == "retired"
    back = post(client, f"recipes/{first['recipe']}/bring-back-recipe/")
    assert back.json()["state"] == "current"


def test_a_member_reads_and_does_nothing(client, technician, member):
    version = approved(technician)
    client.force_login(member)
    listed = client.get(f"{API}recipes/").json()["results"]
    assert [(row["name"], row["current"]) for row in listed] == [("Linseed", version.pk)]
    assert client.get(f"{API}recipes/{version.recipe_id}/").json()["cone"] == "6"
    assert client.get(f"{API}versions/").json()["results"][0]["in_force"] is True
    assert client.get(f"{API}versions/?recipe={version.recipe_id}").json()["results"]
    assert client.get(f"{API}versions/?recipe=0").json()["results"] == []
    assert client.get(f"{API}versions/?recipe=x").status_code == 400
    for address in (
        "recipes/add-recipe/",
        f"recipes/{version.recipe_id}/retire-recipe/",
        f"versions/{version.pk}/approve-version/",
    ):
        answer = post(client, address, body())
        assert answer.status_code == 403
        assert "to change recipes" in answer.json()["problem"]
    assert Version.objects.count() == 1


def test_nobody_reads_nothing(client, db):
    for address in ("recipes/", "versions/", "recipes/1/", "versions/1/"):
        assert client.get(API + address).status_code in (401, 403)


@pytest.mark.parametrize("number", [0, 7, 10**30])
def test_what_is_not_there_is_not_found(client, bram, number):
    for address in (f"recipes/{number}/", f"versions/{number}/"):
        assert client.get(API + address).status_code == 404
    assert post(client, f"versions/{number}/approve-version/").status_code == 404


def test_the_list_asks_few_questions_however_many_versions(client, bram, django_assert_max_num_queries):
    for number in range(8):
        draft(bram, name=f"Glaze {number}", lines=lines({"Silica": "60", "Kaolin": "40"}))
    with django_assert_max_num_queries(6):
        assert len(client.get(f"{API}versions/").json()["results"]) == 8
