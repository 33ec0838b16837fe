"""A recipe is typed, read back and kept; what stands in the way is said with ways on."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.materials.models import Alias, Material
from studio.people.models import Entry
from studio.recipes.models import Line, Recipe, Version
from tests.recipes.samples import act_of, draft, form_data, page_of, text

ADD = reverse("add-recipe")


def test_reading_shows_the_lines_and_writes_nothing(client, bram):
    answer = client.post(ADD, form_data(base="Soda feldspar 22\n76,7 % Silica", step="read"))
    assert answer.status_code == 200
    page = text(answer)
    assert "The base adds up to 98.7 %; kept as written, percent of it shown beside." in page
    assert "22.29 %" in page  # 22 / 0.987
    assert "77.71 %" in page
    assert "10.13 %" in page  # 10 / 0.987
    assert "Nothing is kept yet." in page
    assert "Silica (noted in the store: silica dust)" in page
    assert "Not classified, so treat as hazardous dust" in page
    assert not Recipe.objects.exists()
    assert not Entry.objects.exists()


def test_reading_shows_how_the_particle_density_was_got(client, bram):
    page = text(client.post(ADD, form_data(step="read")))
    assert "Particle density 2.731 g/mL" in page  # "demo_studio.md", Gannet White
    assert (
        "particle density = all parts ÷ sum of (parts ÷ density of each) = 110 ÷ 40.282 mL/g = 2.731 g/mL"
        in page
    )
    assert "The base adds up to 100 %." in page


def test_what_was_read_is_kept_with_the_same_form(client, bram):
    answer = client.post(ADD, form_data())
    version = Version.objects.get()
    assert answer.headers["Location"] == page_of(version.recipe)
    assert list(version.lines.values_list("typed_name", "typed")) == [
        ("Soda feldspar", "22"),
        ("Frit A", "28"),
        ("Silica", "17"),
        ("Kaolin", "17"),
        ("Wollastonite", "16"),
        ("Zirconium silicate", "10"),
    ]
    page = text(client.get(answer.headers["Location"]))
    assert "Gannet White, version 1 is kept as a draft. Another person approves it." in page


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"base": "Silica 50\nKaolin 30\nSilica 20"}, "Silica stands here twice. The lines are kept apart"),
        ({"base": "Silica 87"}, "Is a line missing, or does a colourant stand in the base?"),
        ({"base": "Silica 0.6\nKaolin 0.4"}, "are these fractions of 1? They are kept as parts."),
        (
            {"base": "Silica 60\nKaolin 39\nTotal 100"},
            "The notebook gives 100 as the total; the lines in the base add up to 99.",
        ),
        ({"base": "Soda feldspar 440 g\nSilica 560", "typed_as": "grams"}, "The base adds up to 1 000 g"),
        ({"base": "Silica 2 parts\nKaolin 1", "typed_as": "parts"}, "The base adds up to 3 parts"),
        ({"base": "Whiting 100"}, "Whiting is discontinued: no more of it is bought."),
        ({"base": "Frit L 100"}, "Frit L : dissolves in the glaze water."),
        ({"base": "Flint 100"}, "Silica typed “Flint”"),
    ],
)
def test_what_is_worth_a_second_look_is_said_and_kept(client, bram, changes, said):
    Material.objects.filter(name="Whiting").update(state=Material.State.ENDED)
    Material.objects.filter(name="Frit L").update(soluble=True)
    Alias.objects.create(material=Material.objects.get(name="Silica"), name="Flint")
    answer = client.post(ADD, form_data(step="read", on_top="", **changes))
    assert answer.status_code == 200
    assert said in text(answer)
    assert client.post(ADD, form_data(on_top="", **changes)).status_code == 303


def test_an_unknown_name_comes_with_ways_on(client, bram):
    answer = client.post(ADD, form_data(base="Soda spar 22\nSilica 78", step="read"))
    assert answer.status_code == 422
    row = answer.context["form"].unknown["base"][0]
    assert row.unknown == ("Soda spar",)
    assert "Soda feldspar" in [offer.name for offer in row.offers]
    assert len(row.offers) <= 3
    content = answer.content.decode()
    for offer in row.offers:
        assert f"{reverse('add-alias', kwargs={'pk': offer.pk})}?name=Soda%20spar" in content
    assert f"{reverse('add-material')}?name=Soda%20spar" in content
    assert "Soda spar 22\nSilica 78" in content


def test_a_number_in_a_name_is_settled_by_the_store_or_asked(client, bram):
    Material.objects.create(name="Frit 3", density="2.5")
    answer = client.post(ADD, form_data(base="Frit 3 120\nSilica 80", on_top=""))
    assert answer.status_code == 303
    assert list(Line.objects.values_list("typed_name", "parts")) == [("Frit 3", 120), ("Silica", 80)]
    Material.objects.create(name="Frit", density="2.5")
    answer = client.post(ADD, form_data(name="Two", base="Frit 3 120\nSilica 80", on_top=""))
    assert answer.status_code == 422
    said = answer.context["form"].errors["base"][0]
    assert "This can be read as 120 of Frit 3 or 3 120 of Frit. Put a colon between" in said
    assert client.post(ADD, form_data(name="Two", base="Frit 3: 120\nSilica 80")).status_code == 303


def test_reading_asks_few_questions_however_many_lines(client, bram):
    base = "\n".join(f"Silica {n}\nSilica spar {n}" for n in range(1, 25))
    with CaptureQueriesContext(connection) as asked:
        answer = client.post(ADD, form_data(base=base, step="read"))
    assert answer.status_code == 422
    assert len(asked) <= 12


@pytest.mark.parametrize("who", ["member", "helper"])
def test_others_cannot_open_the_acts(client, technician, who, request):
    version = draft(technician)
    client.force_login(request.getfixturevalue(who))
    one = [reverse(name, kwargs={"pk": version.recipe_id}) for name in
           ("change-recipe", "retire-recipe", "bring-back-recipe", "add-version")]  # fmt: skip
    acts = [act_of(version, name) for name in ("approve-version", "withdraw-version", "normalise-version")]
    for address in [ADD, *one, *acts]:
        assert client.get(address).status_code == 403
        assert client.post(address, form_data()).status_code == 403
    assert Version.objects.get().state == "draft"
