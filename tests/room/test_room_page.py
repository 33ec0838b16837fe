"""The room's page: an empty room says what to enter first and why; a full one stays quick."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from studio.materials.operations.materials import add_material
from studio.room.operations import instruments, vessels
from studio.room.steps import progress
from tests.factories import person

WAY = [
    "People",
    "Vessels",
    "Scales",
    "Flasks and cylinders",
    "Materials",
    "Recipes",
    "Buckets on the shelf",
]


def one_of_each(by, number: int = 1) -> None:
    sizes = {"bottom_cm": Decimal("25.6"), "top_cm": Decimal("28.8"), "height_cm": Decimal(35)}
    vessels.add_vessel(code=f"B{number:02}", empty_g=Decimal(1135), by=by, **sizes)
    instruments.add_scale(name=f"Scale {number}", division_g=Decimal(1), capacity_g=Decimal(5000), by=by)
    glass = {"kind": "cylinder", "volume_ml": Decimal(100), "tolerance_ml": Decimal("0.5")}
    instruments.add_glass(name=f"Cylinder {number}", by=by, **glass)


def test_the_way_to_set_up_is_in_order(technician):
    assert [part.step.name for part in progress()] == WAY
    assert all(part.step.why and part.step.act for part in progress())


def test_the_way_counts_what_is_there_in_one_query(technician, django_assert_num_queries):
    person("Marek")
    one_of_each(technician)
    away = vessels.add_vessel(
        code="B09",
        bottom_cm=Decimal(20),
        top_cm=Decimal(24),
        height_cm=Decimal(25),
        empty_g=Decimal(690),
        by=technician,
    )
    vessels.put_away_vessel(vessel=away, by=technician)
    add_material(name="Silica", by=technician)
    with django_assert_num_queries(1):
        way = progress()
    assert [part.count for part in way] == [2, 1, 1, 1, 1, 0, 0]
    assert [part.done for part in way] == [True, True, True, True, True, False, False]


def test_one_person_is_not_enough(technician):
    people = progress()[0]
    assert (people.count, people.done) == (1, False)


def test_an_empty_room_says_what_comes_first_and_why(client, manager):
    client.force_login(manager, backend="django.contrib.auth.backends.ModelBackend")
    text = client.get(reverse("room")).content.decode()
    positions = [text.index(f"<b>{name}</b>") for name in WAY]
    assert positions == sorted(positions)
    assert "Setting up: 0 of 7 done" in text
    first = re.search(r'<li aria-current="step">.*?</li>', text, re.S).group(0)
    assert "a recipe is approved by a second person" in first.lower()
    for empty in ("No vessels yet", "No scales yet", "No flask or cylinder yet"):
        assert empty in text


def test_a_member_sees_the_room_without_its_acts(client, member, technician):
    one_of_each(technician)
    client.force_login(member, backend="django.contrib.auth.backends.ModelBackend")
    text = client.get(reverse("room")).content.decode()
    assert "B01" in text
    assert reverse("add-vessel") not in text


def test_the_page_is_as_quick_with_many_as_with_few(
    client, technician, django_assert_max_num_queries, django_assert_num_queries
):
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    one_of_each(technician)
    with django_assert_max_num_queries(12) as few:
        client.get(reverse("room"))
    for number in range(2, 12):
        one_of_each(technician, number)
    with django_assert_num_queries(len(few)):
        client.get(reverse("room"))


@pytest.mark.parametrize("name", ["vessel", "scale", "glass"])
def test_pages_of_things_are_at_most_twelve_queries(client, technician, name, django_assert_max_num_queries):
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    one_of_each(technician)
    pk = {"scale": instruments.Scale.objects.get().pk, "glass": instruments.Glass.objects.get().pk}
    with django_assert_max_num_queries(12):
        assert client.get(reverse(name, args=[pk.get(name, "B01")])).status_code == 200
