"""What a reviewer looked for who fears a class that comes out too mild: mixtures.md, line by line.

Figures invented; the rule is named beside each.
"""

from dataclasses import replace
from decimal import Decimal

import pytest

from safety.calc.composition import strictest
from safety.calc.hazards import Hazards, Limit
from safety.calc.mixture import Ingredient, classify
from safety.calc.sources import standing
from safety.substances import FILE, table

D = Decimal


def of(pct: str, *classes: str, **more) -> Ingredient:
    return Ingredient(name="X", pct=D(pct), hazards=Hazards(stated="classes", classes=classes, **more))


def eu(*ingredients: Ingredient):
    return classify(ingredients=ingredients, rules="CLP")


@pytest.mark.parametrize("stated", ["unknown", "not stated"])
def test_what_no_source_speaks_of_is_unknown_by_every_route_though_none_is_named(stated):
    """Unknown and not stated are never taken for harmless (mixtures.md 2: U)."""
    found = eu(Ingredient(name="X", pct=D(12), hazards=Hazards(stated=stated)))
    assert found.unknown_pct == {"oral": D(12), "dermal": D(12), "inhal_dust": D(12)}


@pytest.mark.parametrize(
    "cls", ["Acute Tox. 4", "Acute Tox. 5 (oral)", "Skin Irrit. 3", "Aquatic Acute 2", "Skin Corr. 2"]
)
def test_a_class_no_rule_knows_as_it_is_written_is_put_before_a_person(cls):
    assert eu(of("50", cls)).physical_to_review == (cls,)


@pytest.mark.parametrize(
    ("severe", "mild"), [("Skin Corr. 1", "Skin Irrit. 2"), ("Eye Dam. 1", "Eye Irrit. 2")]
)
def test_a_limit_for_the_severe_class_alone_leaves_the_usual_one_for_the_mild(severe, mild):
    """Table 3.2.3 and 3.3.3: from 1 %; a specific limit is for the class it names (CLP Art. 10 [M])."""
    limit = Limit(cls=severe, min_pct=D(25))
    strong = of("2", severe, limits=(limit,))
    assert mild in eu(strong).classes
    assert severe not in eu(strong).classes
    assert mild not in eu(replace(strong, pct=D("0.9"))).classes


def test_a_limit_of_its_own_for_the_mild_class_still_counts_instead():
    limits = (Limit(cls="Skin Corr. 1", min_pct=D(25)), Limit(cls="Skin Irrit. 2", min_pct=D(10)))
    assert "Skin Irrit. 2" not in eu(of("2", "Skin Corr. 1", limits=limits)).classes
    assert "Skin Irrit. 2" in eu(of("10", "Skin Corr. 1", limits=limits)).classes


@pytest.mark.parametrize(("law", "sheet_law"), [("US", "EU"), ("UN", "other"), ("EU", "US")])
def test_beside_a_sheet_for_another_law_the_harmonised_entry_counts_too(law, sheet_law):
    """A sheet for another law may be silent about what the law in hand asks for; the stricter word stays."""
    mild = Hazards(stated="classes", classes=("Acute Tox. 4 (oral)",), source="sheet")
    entry = Hazards(stated="classes", classes=("Acute Tox. 3 (oral)", "STOT RE 1"), source="entry")
    said = standing(sheet=mild, harmonised=entry, seed=None, law=law, sheet_law=sheet_law)
    assert set(said.classes) == {"Acute Tox. 3 (oral)", "STOT RE 1"}


def test_two_sources_that_mean_different_harm_by_stot_se_3_are_both_heard():
    """H335 and H336 are summed apart (CLP 3.8.3.4.5 [O], 20 %)."""
    airways, drowsy = (
        Hazards(stated="classes", classes=("STOT SE 3",), stot_se3=kind) for kind in ("resp", "narc")
    )
    both = strictest(airways, drowsy)
    assert eu(Ingredient(name="X", pct=D(20), hazards=both)).h_codes == ("H335", "H336")
    assert Hazards.from_plain(both.as_plain()) == both


def test_every_specific_limit_of_the_table_is_read():
    """Every "C>=" and "<=C" of the column is a limit, but those on the fine fraction (the usual ones)."""
    import csv

    with FILE.open(newline="", encoding="utf-8") as opened:
        rows = list(csv.DictReader(opened))
    for said, row in zip(rows, table(), strict=True):
        text = said["specific_conc_limits"]
        if "industry agreement" not in text:
            assert len(row.hazards.limits) == text.count("C>=") + text.count("<=C"), row.material
