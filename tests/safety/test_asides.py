"""A sheet in another language or of another supplier than the lot: said where it is read, no act stops."""

import pytest
from django.urls import reverse

from safety.sheets import asides_of_materials
from studio.materials.models import Lot
from tests.batches.words import words_of
from tests.factories import MaterialFactory
from tests.safety.sheet_rows import filed

pytestmark = pytest.mark.django_db
FRENCH = "In French: ask the supplier for it in English."
STRANGE = (
    "is of Northmoor Clay Supply, the sheet is by Tollgate Minerals: ask Northmoor Clay Supply for theirs."
)


def of_northmoor(name="Talc", **more):
    """A material whose lot came from Northmoor, with a sheet by Tollgate in French."""
    material = MaterialFactory(name=name, hazard_words="")
    Lot.objects.filter(material=material).update(supplier="Northmoor Clay Supply")
    return filed(material, language="French", **more)


@pytest.mark.parametrize("page", ["sheet", "binder-material"])
def test_the_page_of_the_sheet_and_of_its_material_say_both_once(client, technician, page):
    sheet = of_northmoor()
    client.force_login(technician)
    at = sheet.number if page == "sheet" else sheet.material_id
    said = words_of(client.get(reverse(page, args=[at])))
    assert said.count(FRENCH) == said.count(STRANGE) == 1


def test_the_list_of_sheets_says_both_and_the_state_stays_current(client, technician):
    of_northmoor()
    client.force_login(technician)
    said = words_of(client.get(reverse("sheets")))
    assert FRENCH in said
    assert STRANGE in said
    assert "0 missing, 0 due, 1 current." in said


def test_a_lot_says_whose_sheet_covers_it(client, technician):
    sheet = of_northmoor()
    client.force_login(technician)
    lot = sheet.material.lots.get()
    said = words_of(client.get(reverse("lot", args=[lot.code])))
    assert f"{sheet} · Talc" in said
    assert f"{lot.code} {STRANGE}" in said


def test_a_lot_no_sheet_covers_says_so(client, technician):
    sheet = of_northmoor(lots=[])
    client.force_login(technician)
    said = words_of(client.get(reverse("lot", args=[sheet.material.lots.get().code])))
    assert "No sheet is said to cover this lot, though 1 of its material stands." in said
    assert STRANGE in said


def test_a_supplier_with_a_sheet_of_its_own_is_not_strange(client, technician):
    sheet = of_northmoor()
    filed(sheet.material, supplier="Northmoor Clay Supply")
    client.force_login(technician)
    assert STRANGE not in words_of(client.get(reverse("sheets")))


def test_it_costs_two_queries_however_many_there_are(technician, django_assert_num_queries):
    found = [of_northmoor(f"Talc {number}").material_id for number in range(4)]
    for ids in (found[:1], found):
        with django_assert_num_queries(2):
            asides = asides_of_materials(ids)
        assert [len(said) for said in asides.values()] == [2] * len(ids)
