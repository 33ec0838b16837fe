"""pH in a classification: at most 2 or at least 11.5 counts as corrosive (mixtures.md 1, opened).

That 1 % of a corrosive is enough beside a strong acid: case P05 of mixtures_checks.json. Sheets invented.
"""

from decimal import Decimal

import pytest
from django.urls import reverse

from safety.classifying import result_from, worked_out
from safety.hazards import standing
from safety.mixes import mix_of_material, of_amounts
from safety.operations.classifying import kept
from studio.materials.models import Material
from tests.factories import MaterialFactory, bram
from tests.safety.sheet_rows import classed, constituent, filed

pytestmark = pytest.mark.django_db
D = Decimal
CORROSIVE = ("Skin Corr. 1", "Eye Dam. 1")


def bag(ph: str | None, law: str = "EU", **more):
    filed("Soda ash", ph=None if ph is None else D(ph), **more)
    return worked_out([mix_of_material(Material.objects.get(name="Soda ash"))], law)[0]


def glaze(ph: str | None, share: str, *classes: str):
    """Nepheline syenite with a share of lye, whose sheet gives a pH and classes its substance."""
    filed("Lye", constituent("lye", "100", classed(*classes)), ph=None if ph is None else D(ph))
    filed("Nepheline syenite", ph=D("9.9"))
    lye, rest = (Material.objects.get(name=name).pk for name in ("Lye", "Nepheline syenite"))
    return worked_out([of_amounts({(1, lye, ""): D(share), (1, rest, ""): 100 - D(share)})], "EU")[0]


@pytest.mark.parametrize(
    ("ph", "corrosive"),
    [("2", True), ("2.1", False), ("11.4", False), ("11.5", True), ("13", True), (None, False)],
)
@pytest.mark.parametrize("law", ["EU", "US", "UN"])
def test_a_bag_counts_as_corrosive_by_the_ph_its_sheet_gives(law, ph, corrosive):
    assert (bag(ph, law).result.classes == CORROSIVE) is corrosive


def test_a_sheet_that_gives_such_a_ph_and_no_such_class_is_marked_as_assumed():
    found = bag("11.6")
    said = "Soda ash: S001 gives pH 11.6 and no class as corrosive: "
    said += "it counts as corrosive until shown otherwise."
    assert found.assumed == (said,)


def test_a_label_names_the_sheet_of_what_is_corrosive_by_its_ph_alone():
    assert [row["hazardous"] for row in bag("11.6").inputs["materials"]] == [True]
    assert [row["hazardous"] for row in bag("11.4").inputs["materials"]] == [False]


def test_a_sheet_that_classes_it_as_corrosive_itself_assumes_nothing():
    assert bag("13", hazards=classed("Skin Corr. 1")).assumed == ()


def test_beside_a_strong_base_one_percent_of_a_corrosive_is_enough():
    """4 % would be an irritant by the sum of Table 3.2.3 and is corrosive by Table 3.2.4."""
    assert glaze("13", "4", "Skin Corr. 1").result.classes == CORROSIVE
    assert "Skin Corr. 1" not in glaze("11", "4", "Skin Corr. 1").result.classes


def test_the_ph_of_a_glaze_is_not_guessed_from_what_is_in_it():
    found = glaze("13", "0.5", "Skin Corr. 1")
    assert found.result.classes == ()
    assert "The pH of the mixture is not known" in found.assumed[0]
    assert glaze("11", "0.5", "Skin Corr. 1").assumed == ()


def test_what_is_corrosive_from_five_percent_on_still_irritates_below_it():
    """A limit of its own of 5 % makes 4 % too little for Table 3.2.4; the sum of Table 3.2.3 still counts."""
    from safety.calc.hazards import Limit

    filed(
        "Lye",
        constituent("lye", "100", classed("Skin Corr. 1", limits=(Limit(cls="Skin Corr. 1", min_pct=D(5)),))),
        ph=D(13),
    )
    filed("Silt")
    lye, rest = (Material.objects.get(name=name).pk for name in ("Lye", "Silt"))
    found = worked_out([of_amounts({(1, lye, ""): D(4), (1, rest, ""): D(96)})], "EU")[0]
    assert "Skin Irrit. 2" in found.result.classes


def test_a_sheet_with_another_ph_makes_a_new_classification_that_its_inputs_lead_to():
    row = MaterialFactory(name="Soda ash", hazard_words="")
    filed(row, ph=D("11.4"))
    mix = mix_of_material(row)
    before = kept(mix=mix, what="Soda ash", why="a test", by=bram())
    filed(row, ph=D("11.6"))
    after = standing(mix)
    assert after is not None
    assert after.pk != before.pk
    assert after.result["label"]["h_codes"] == ["H314"]
    assert result_from(after.inputs, after.law).as_plain() == after.result


def test_the_derivation_says_what_is_known_of_it(client, technician):
    filed("Soda ash", ph=D("11.6"))
    filed("Silt")
    client.force_login(technician)
    pages = []
    for name in ("Soda ash", "Silt"):
        mix = mix_of_material(Material.objects.get(name=name))
        row = kept(mix=mix, what=name, why="a test", by=bram())
        pages.append(client.get(reverse("classification", args=[row.number])).content.decode())
    assert "pH 11.6, by its sheet. It counts as corrosive unless shown otherwise." in pages[0]
    assert "measured pH 11.6" not in pages[0]
    assert "The pH of the mixture is not on file, so no class rests on it." in pages[1]
