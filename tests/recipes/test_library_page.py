"""The library: what each line says, how it is searched, and that the address keeps it."""

import html
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.recipes.operations.recipes import retire_recipe
from tests.recipes.samples import approved, draft, lines, store

LIBRARY = reverse("recipes")


@pytest.fixture
def shelf(technician):
    """Linseed in force, Oat Husk (cone 10, with tin) a draft, Cinder Rose retired."""
    approved(technician)
    husk = lines({"Potash feldspar": "60", "Kaolin": "40"}, {"Zirconium silicate": "3"})
    draft(
        technician,
        name="Oat Husk",
        look="matt, warm off-white",
        cone="10",
        atmosphere="reduction",
        lines=husk,
    )
    gone = approved(technician, name="Cinder Rose").recipe
    retire_recipe(recipe=gone, reason="settles hard", by=technician, key=uuid4())


def names(answer) -> list[str]:
    return [recipe.name for recipe in answer.context["page"]]


def text(answer) -> str:
    return " ".join(html.unescape(answer.content.decode()).split())


def test_a_member_reads_the_library(client, member, shelf):
    client.force_login(member)
    answer = client.get(LIBRARY)
    assert names(answer) == ["Linseed", "Oat Husk"]
    page = text(answer)
    assert "cone 6, oxidation" in page
    assert "version 1 in force" in page
    assert "draft 1" in page
    assert "SG 1.430 ± 0.020" in page
    assert reverse("add-recipe") not in page


def test_a_technician_finds_the_way_to_a_new_recipe(client, technician):
    client.force_login(technician)
    page = text(client.get(LIBRARY))
    assert "No recipes yet" in page
    assert reverse("add-recipe") in page


def test_nobody_is_sent_to_sign_in(client, db):
    assert client.get(LIBRARY).status_code == 302


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("?q=oat", ["Oat Husk"]),
        ("?q=amber", ["Linseed"]),
        ("?q=frit+lin", ["Linseed"]),
        ("?q=red+iron+OXIDE", ["Linseed"]),
        ("?q=zircon", []),  # only a version in force is searched by material
        ("?cone=10", ["Oat Husk"]),
        ("?cone=06", []),
        ("?atmosphere=reduction", ["Oat Husk"]),
        ("?shown=in-force", ["Linseed"]),
        ("?shown=draft", ["Oat Husk"]),
        ("?shown=retired", ["Cinder Rose"]),
        ("?shown=nonsense", ["Linseed", "Oat Husk"]),
        ("?page=99", ["Linseed", "Oat Husk"]),
        ("?q=%00", ["Linseed", "Oat Husk"]),
        ("?q=" + "x" * 500, []),
    ],
)
def test_the_library_is_narrowed(client, member, shelf, asked, found):
    client.force_login(member)
    answer = client.get(LIBRARY + asked)
    assert answer.status_code == 200
    assert names(answer) == found
    if not found:
        assert "No recipe fits this" in text(answer)


def test_what_was_chosen_stays_in_every_link(client, member, shelf):
    client.force_login(member)
    answer = client.get(f"{LIBRARY}?q=lin&cone=6")
    content = answer.content.decode()
    assert "?q=lin&amp;cone=6&amp;shown=in-force" in content
    assert '<input type="hidden" name="cone" value="6">' in content
    assert 'value="lin"' in content


def test_the_page_asks_few_questions_however_many_recipes(client, technician, member):
    store()
    client.force_login(member)
    draft(technician)
    with CaptureQueriesContext(
        connection,
    ) as few:
        client.get(LIBRARY)
    for number in range(60):
        draft(technician, name=f"Glaze {number}")
    with CaptureQueriesContext(connection) as many:
        answer = client.get(LIBRARY)
    assert len(answer.context["page"]) == 50
    assert "Page 1 of 2" in text(answer)
    assert len(many) == len(few) <= 12
