"""Where powder is handled each material says what it is by law; what nobody classified is hazardous dust."""

import pytest
from django.urls import reverse

from safety.calc.hazards import Hazards
from safety.cautions import Handled, cautions
from safety.hazards import standing
from safety.mixes import mix_of_material
from studio.room.operations.details import change_details
from tests.factories import BatchFactory, MaterialFactory
from tests.safety.sheet_rows import HARMLESS, classed, constituent, filed, quartz

pytestmark = pytest.mark.django_db


def handled(*materials):
    return [Handled(row.pk, row.name, row.hazard_words) for row in materials]


@pytest.fixture
def shelf():
    """Silica (a danger), barium (a warning), dolomite (nothing by law), talc (no sheet)."""
    silica, barium, dolomite = (MaterialFactory(name=n) for n in ("Silica", "Barium carbonate", "Dolomite"))
    talc = MaterialFactory(name="Talc", hazard_words="dust")
    filed(silica, quartz("99"), hazards=classed("STOT RE 1"))
    filed(
        barium,
        constituent("barium carbonate", "100", classed("Acute Tox. 4 (oral)"), cas="513-77-9"),
        hazards=classed("Acute Tox. 4 (oral)"),
    )
    filed(dolomite, constituent("dolomite", "100", HARMLESS, cas="16389-88-1"))
    return dolomite, barium, talc, silica


def test_the_gravest_stands_first_and_the_unknown_before_a_mere_warning(shelf):
    found = cautions(handled(*shelf))
    assert [row.name for row in found] == ["Silica", "Talc", "Barium carbonate", "Dolomite"]
    silica, talc, barium, dolomite = found
    assert (silica.signal_word, "lungs" in silica.said) == ("Danger", True)
    assert (barium.signal_word, barium.said) == ("Warning", "Harmful if swallowed.")
    assert (talc.known, talc.note) == (False, "dust")
    assert (dolomite.known, dolomite.said) == (True, "")


def test_a_sheet_that_is_silent_leaves_the_material_unclassified():
    talc = MaterialFactory(name="Talc")
    silent = Hazards(stated="not stated", unknown_acute=("oral", "dermal", "inhal_dust"))
    filed(talc, constituent("talc", "100", silent), hazards=silent)
    assert [row.known for row in cautions(handled(talc))] == [False]


def test_under_another_law_everything_that_stands_is_worked_out_by_that_one(shelf, technician):
    silica = shelf[-1]
    change_details(name="Quillmere", law="US", by=technician)
    found = {row.name: row for row in cautions(handled(*shelf))}
    assert {name: row.known for name, row in found.items()} == {
        "Silica": True, "Barium carbonate": True, "Dolomite": True, "Talc": False,
    }  # fmt: skip
    assert standing(mix_of_material(silica)).law == "US"


def test_it_costs_one_query_for_any_number(shelf, django_assert_max_num_queries):
    rows = handled(*shelf)
    with django_assert_max_num_queries(1):
        cautions(rows)


def test_the_store_and_the_bench_say_it_with_the_sheet_one_tap_away(client, technician):
    batch = BatchFactory(state="weighing")
    line = batch.lines.order_by("position").first()
    filed(line.material, quartz("99"), hazards=classed("STOT RE 1"))
    client.force_login(technician)
    sheet = reverse("binder-material", args=[line.material_id])
    for page in (reverse("material", args=[line.material_id]), reverse("bench", args=[batch.number])):
        said = client.get(page, follow=True).content.decode()
        assert "Danger." in said
        assert f'href="{sheet}"' in said
        assert "safety data sheet" in said


def test_a_recipe_says_it_too_and_names_what_is_not_classified(client, technician):
    batch = BatchFactory(state="weighing")
    version = batch.version
    line = version.lines.order_by("position").first()
    filed(line.material, quartz("99"), hazards=classed("STOT RE 1"))
    client.force_login(technician)
    said = client.get(reverse("recipe", args=[version.recipe_id])).content.decode()
    assert "Danger." in said
    assert "Not classified, so treat as hazardous dust" in said


def test_that_a_sheet_can_be_asked_for_warns_nobody_at_the_bench():
    feldspar = MaterialFactory(name="Potash feldspar")
    filed(feldspar, constituent("feldspar", "95", HARMLESS), quartz("5", fine="0.5"), hazards=HARMLESS)
    assert "EUH210" in standing(mix_of_material(feldspar)).result["label"]["euh"]
    assert [(row.known, row.said) for row in cautions(handled(feldspar))] == [(True, "")]
