"""What a material is made of: two sources, the stricter word; silica by its fine fraction. Figures invented
unless said."""

from decimal import Decimal

import pytest

from safety.calc.composition import (
    Held,
    by_fine_fraction,
    left_to_whole,
    merged,
    strictest,
    unexplained,
    worst,
)
from safety.calc.hazards import Hazards, Limit

D = Decimal
LUNGS = Hazards(
    stated="classes", classes=("STOT RE 1",), organ="lungs", sum_group="crystalline silica", source="table"
)
QUARTZ = Held(name="quartz", cas="14808-60-7", pct=D(98), hazards=LUNGS)
HARMLESS = Hazards(stated="not hazardous", source="sheet A")


def test_without_a_figure_all_silica_counts_as_fine():
    assert by_fine_fraction(QUARTZ, None) == [
        Held(name="quartz", cas="14808-60-7", pct=D(98), hazards=LUNGS, part="fine")
    ]


def test_the_coarse_rest_does_not_count_for_the_lungs():
    fine, coarse = by_fine_fraction(QUARTZ, D(30))
    assert (fine.pct, fine.hazards.classes) == (D(30), ("STOT RE 1",))
    assert (coarse.pct, coarse.hazards.stated, coarse.hazards.classes) == (D(68), "not hazardous", ())


def test_other_classes_of_silica_stay_with_all_of_it():
    us = Hazards(stated="classes", classes=("Carc. 1A", "STOT RE 1"))
    fine, coarse = by_fine_fraction(Held(name="quartz", pct=D(98), hazards=us), D(30))
    assert fine.hazards.classes == ("Carc. 1A", "STOT RE 1")
    assert (coarse.hazards.stated, coarse.hazards.classes) == ("classes", ("Carc. 1A",))
    assert fine.hazards.sum_group == coarse.hazards.sum_group == "crystalline silica"


@pytest.mark.parametrize("fine_pct", [D("-0.1"), D("98.1")])
def test_a_fine_fraction_is_part_of_the_silica(fine_pct):
    with pytest.raises(ValueError, match="between 0 and its share"):
        by_fine_fraction(QUARTZ, fine_pct)


def test_of_two_sources_the_stricter_word_counts_figure_by_figure():
    one = Hazards(
        stated="classes", classes=("Carc. 2", "Acute Tox. 4 (oral)"), ate={"oral": D(500)}, m_acute=10,
        note1_fraction=D("0.5"), unknown_acute=("dermal", "inhal_dust"), repr_effects="d", source="sheet A",
    )  # fmt: skip
    other = Hazards(
        stated="classes", classes=("Carc. 1B", "Aquatic Acute 1"), ate={"oral": D(300)}, m_acute=1,
        unknown_acute=("inhal_dust",), repr_effects="FD", carc_inhalation_only=True, source="sheet B",
    )  # fmt: skip
    both = strictest(one, other)
    assert both.classes == ("Carc. 1B", "Acute Tox. 4 (oral)", "Aquatic Acute 1")
    assert (both.ate, both.m_acute, both.note1_fraction) == ({"oral": D(300)}, 10, None)
    assert (both.unknown_acute, both.repr_effects, both.carc_inhalation_only) == (
        ("inhal_dust",),
        "FD",
        False,
    )
    assert both.source == "sheet A; sheet B"
    assert strictest(other, one).classes == ("Carc. 1B", "Aquatic Acute 1", "Acute Tox. 4 (oral)")


def test_a_source_that_says_nothing_softens_nothing():
    silent = Hazards(stated="not stated")
    assert strictest(LUNGS, silent) == LUNGS == strictest(silent, LUNGS)
    assert strictest(LUNGS, HARMLESS).classes == ("STOT RE 1",)


def test_a_specific_limit_never_lifts_the_usual_one_that_the_other_source_goes_by():
    # Carc. 1B from 0.01 % (cobalt carbonate, substances.csv); usual: 0.1 %, STOT RE 1 10 % (mixtures.md 5, 6)
    low = Hazards(stated="classes", classes=("Carc. 1B",), limits=(Limit(cls="Carc. 1B", min_pct=D("0.01")),))
    high = Hazards(stated="classes", classes=("STOT RE 1",), limits=(Limit(cls="STOT RE 1", min_pct=D(20)),))
    plain = Hazards(stated="classes", classes=("Carc. 1B", "STOT RE 1"))
    assert strictest(low, plain).limits == (Limit(cls="Carc. 1B", min_pct=D("0.01")),)
    assert strictest(high, plain).limits == (Limit(cls="STOT RE 1", min_pct=D(10)),)
    assert strictest(plain, high).limits == (Limit(cls="STOT RE 1", min_pct=D(10)),)
    assert strictest(high, high).limits == high.limits


def test_the_worst_category_of_each_family_stays():
    found = worst(("STOT RE 2", "STOT RE 1", "STOT SE 3", "STOT SE 2", "Lact.", "Repr. 2"))
    assert found == ("STOT RE 1", "STOT SE 3", "STOT SE 2", "Lact.", "Repr. 2")


def test_a_class_of_the_whole_that_no_substance_explains_is_kept():
    whole = Hazards(stated="classes", classes=("STOT RE 2", "Skin Sens. 1"))
    assert unexplained(whole, [QUARTZ]) == ("Skin Sens. 1",)
    assert unexplained(whole, []) == whole.classes


def test_a_sheet_stricter_than_what_it_is_made_of_is_not_softened():
    whole = Hazards(
        stated="classes", classes=("STOT RE 1", "Skin Sens. 1A", "Eye Irrit. 2A", "Skin Irrit. 2")
    )
    part = Held(name="X", pct=D(5), hazards=Hazards(stated="classes", classes=("STOT RE 1", "Skin Sens. 1B")))
    acid = Held(name="Y", pct=D(6), hazards=Hazards(stated="classes", classes=("Skin Corr. 1B",)))
    # 5 % of STOT RE 1 is STOT RE 2 (Table 3.9.4 [O]); 1B is milder than 1A; 6 % corrosive covers irritation
    assert unexplained(whole, [part, acid]) == ("STOT RE 1", "Skin Sens. 1A")


def test_a_material_as_a_whole_counts_for_what_is_left_with_its_own_figures_alone():
    whole = Hazards(
        stated="classes", classes=("Acute Tox. 4 (oral)", "Carc. 2"), ate={"oral": D(900)},
        limits=(Limit(cls="Carc. 2", min_pct=D(1)),),
    )  # fmt: skip
    left = left_to_whole(whole, ("Carc. 2",))
    assert (left.classes, left.ate, left.limits) == (("Carc. 2",), {}, whole.limits)
    assert left_to_whole(whole, ("Acute Tox. 4 (oral)",)).ate == {"oral": D(900)}


def test_a_sensitiser_1a_is_worse_than_one_of_category_1_and_1b_is_not():
    assert worst(("Skin Sens. 1", "Skin Sens. 1A")) == ("Skin Sens. 1A",)
    assert worst(("Skin Sens. 1B", "Skin Sens. 1")) == ("Skin Sens. 1",)


def test_one_substance_named_twice_counts_once_by_the_larger_share():
    again = Held(name="Quartz", cas="14808-60-7", pct=D(3), hazards=HARMLESS)
    other = Held(name="kaolinite", cas="1332-58-7", pct=D(90), hazards=HARMLESS)
    found = merged([QUARTZ, again, other])
    assert [(held.name, held.pct, held.hazards.classes) for held in found] == [
        ("quartz", D(98), ("STOT RE 1",)),
        ("kaolinite", D(90), ()),
    ]
