"""What is typed wrong: a sentence beside its field, what was typed kept, nothing written, never a fault."""

import html
from uuid import uuid4

import pytest
from django.urls import reverse

from studio.people.models import Entry
from studio.recipes.models import Recipe, Version
from tests.recipes.samples import form_data

LONG = "x" * 7000

# field, what is typed there, a part of the sentence beside it
WRONG = [
    ("name", "", "A recipe needs a name."),
    ("name", "   ", "A recipe needs a name."),
    ("name", "n" * 81, "at most 80 letters"),
    ("look", "l" * 161, "at most 160 letters"),
    ("cone", "", "Choose the cone it is fired to."),
    ("cone", "6.5", "06 and 6 are different cones"),
    ("cone", "∆6", "Choose a cone from the list"),
    ("atmosphere", "smoke", "Choose oxidation, reduction or neutral."),
    ("colour", "red", "six digits"),
    ("colour", "#12345", "six digits"),
    ("settles_min", "0", "more than 0 min"),
    ("settles_min", "-5", "more than 0 min"),
    ("settles_min", "soon", "This is not a number"),
    ("settles_min", "99999", "at most 1440 min"),
    ("typed_as", "cups", "Choose percent, parts or grams."),
    ("target_sg", "", "Type the specific gravity it is made to"),
    ("target_sg", "145", "Is 1.45 meant?"),
    ("target_sg", "14.5", "Is 1.45 meant?"),
    ("target_sg", "1", "above 1 and up to 2.20"),
    ("target_sg", "0", "above 1 and up to 2.20"),
    ("target_sg", "-1.45", "above 1 and up to 2.20"),
    ("target_sg", "NaN", "This is not a number"),
    ("target_sg", "1e2", "This is not a number"),
    ("target_sg", "9" * 39, "too long"),
    ("half_window", "", "how far it may be off"),
    ("half_window", "0", "more than 0"),
    ("half_window", "0.5", "at most 0.2"),
    ("half_window", "wide", "This is not a number"),
    ("sieve_mesh", "80.5", "whole number"),
    ("sieve_mesh", "3", "mesh of 10 to 500"),
    ("sieve_mesh", "1000000000000000000000", "mesh of 10 to 500"),
    ("base", "", "The base is empty"),
    ("base", " \n\n ", "The base has no lines"),
    ("base", "Silica", "Line 1, “Silica”: There is no amount on this line."),
    ("base", "Kaolin 50\n22", "Line 2, “22”: There is an amount on this line but no material."),
    ("base", "Silica -22", "can't be below 0"),
    ("base", "Silica 0", "adds nothing"),
    ("base", "Silica NaN", "There is no amount on this line."),
    ("base", "Silica 1234567890123456", "at most 15 digits"),
    ("base", "Silica 1,450", "Type 1.45 or 1450."),
    ("base", "Silica 1.23456", "At most 4 decimals"),
    ("base", "Silica 2000000", "at most 1000000"),
    ("base", "1 cup Silica", "1 cup is a volume"),
    ("base", "Silica 22 g", "This line says grams, but the amounts are marked as percent."),
    ("base", "Moon dust 22", "“Moon dust” is not in the store."),
    ("base", "Silicca 22", "It is like Silica."),
    ("base", "<script>alert(1)</script> 22", "is not in the store"),
    ("base", "Total 100", "The base has no lines"),
    ("base", LONG, "at most 6000 letters"),
    ("base", "Silica 1\n" * 61, "at most 60 lines"),
    ("on_top", "Tin oxyde 3", "is not in the store"),
    ("on_top", "Red iron oxide 1,5,0", "do not fit together"),
    ("on_top", LONG, "at most 6000 letters"),
    ("key", "not-a-key", "lost its key"),
    ("key", "", "lost its key"),
]


@pytest.fixture
def signed_in(client, bram):
    return client


@pytest.mark.parametrize("step", ["read", "keep"])
@pytest.mark.parametrize(("field", "typed", "said"), WRONG, ids=lambda value: str(value)[:24])
def test_wrong_input_is_answered_beside_its_field(signed_in, field, typed, said, step):
    answer = signed_in.post(reverse("add-recipe"), form_data(**{field: typed}, step=step))
    assert answer.status_code == 422
    form = answer.context["form"]
    assert any(said in error for error in form.errors[field])
    assert form[field].data == typed
    page = html.unescape(answer.content.decode())
    if field != "key":
        assert said in page
    assert "<script>alert" not in answer.content.decode()
    assert not Recipe.objects.exists()
    assert not Entry.objects.exists()


def test_the_form_that_all_of_these_spoil_is_good(signed_in):
    answer = signed_in.post(reverse("add-recipe"), form_data())
    assert answer.status_code == 303
    assert Version.objects.get().lines.count() == 6


def test_every_wrong_line_is_named_at_once(signed_in):
    answer = signed_in.post(reverse("add-recipe"), form_data(base="Silica\nKaolin 20\nKaolin -1"))
    assert len(answer.context["form"].errors["base"]) == 2


def test_a_window_that_reaches_water_is_refused(signed_in):
    answer = signed_in.post(reverse("add-recipe"), form_data(target_sg="1.2", half_window="0.2"))
    assert answer.status_code == 422
    assert "stay above 1" in answer.context["form"].errors["half_window"][0]
    assert not Recipe.objects.exists()


def test_the_same_key_with_other_content_is_refused(signed_in):
    key = str(uuid4())
    assert signed_in.post(reverse("add-recipe"), form_data(key=key)).status_code == 303
    answer = signed_in.post(reverse("add-recipe"), form_data(key=key, name="Gannet Two"))
    assert answer.status_code == 422
    assert "sent before with other content" in html.unescape(answer.content.decode())
    assert answer.context["form"]["key"].data != key
    assert Recipe.objects.count() == 1


@pytest.mark.parametrize(
    "where", ["recipe", "change-recipe", "retire-recipe", "bring-back-recipe", "add-version"]
)
@pytest.mark.parametrize("pk", [0, 999999, 10**30])
def test_a_recipe_that_is_not_there_is_not_found(signed_in, where, pk):
    assert signed_in.get(reverse(where, kwargs={"pk": pk})).status_code == 404


@pytest.mark.parametrize("where", ["approve-version", "withdraw-version", "normalise-version"])
@pytest.mark.parametrize(("pk", "number"), [(1, 1), (1, 10**30), (10**30, 1)])
def test_a_version_that_is_not_there_is_not_found(signed_in, where, pk, number):
    assert signed_in.post(reverse(where, kwargs={"pk": pk, "number": number})).status_code == 404
