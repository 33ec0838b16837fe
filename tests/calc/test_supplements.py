"""When a data sheet can be asked for of what has no class: CLP Annex II 2.10 (sds.md 2, opened)."""

from decimal import Decimal

import pytest

from safety.calc.hazards import Hazards, Limit
from safety.calc.mixture import Ingredient, classify

D = Decimal
LIMIT = "workplace limit, EU, respirable crystalline silica: 0.1 (mg/m³) [O]"
HARMLESS = Hazards(stated="not hazardous")


def of(pct: str, *classes: str, cas: str = "", limit: str = "", name: str = "X", **more) -> Ingredient:
    said = Hazards(stated="classes", classes=classes, **more) if classes else HARMLESS
    return Ingredient(name=name, cas=cas, pct=D(pct), hazards=said, eu_air_limit=limit)


def found(*ingredients: Ingredient, rules="CLP"):
    return classify(ingredients=ingredients, rules=rules)


@pytest.mark.parametrize(("pct", "stands"), [("0.99", False), ("1", True), ("40", True)])
def test_what_has_a_workplace_limit_and_no_class_has_a_sheet_on_request_from_one_percent(pct, stands):
    result = found(of(pct, limit=LIMIT))
    assert result.classes == ()
    assert ("EUH210" in result.label.euh) is stands
    assert [(one.why, one.from_pct) for one in result.on_request] == ([(LIMIT, D(1))] if stands else [])


def test_what_has_no_limit_of_the_air_and_no_class_says_nothing():
    assert found(of("99")).label.euh == ()


def test_fine_and_coarse_grains_of_one_substance_are_summed_before_its_limit():
    fine = of("0.5", "STOT RE 1", cas="14808-60-7", limit=LIMIT, name="quartz, fine")
    coarse = of("0.5", cas="14808-60-7", limit=LIMIT, name="quartz, coarse")
    (reason,) = found(fine, coarse).on_request
    assert (reason.pct, reason.name) == (D(1), "quartz, fine and quartz, coarse")


@pytest.mark.parametrize("rules", ["GHS", "US-HCS"])
def test_it_never_stands_by_other_rules(rules):
    asked = of("0.5", "Skin Sens. 1B"), of("5", limit=LIMIT, name="Y")
    assert found(*asked, rules=rules).label.euh == ()
    assert found(*asked, rules=rules).on_request == ()


def test_it_never_stands_beside_a_class():
    result = found(of("12", "STOT RE 1"), of("5", limit=LIMIT, name="Y"))
    assert result.classes
    assert (result.label.euh, result.on_request) == ((), ())


@pytest.mark.parametrize(
    ("cls", "just", "under"),
    [
        ("Skin Sens. 1", "0.1", "0.099"), ("Skin Sens. 1A", "0.01", "0.0099"),
        ("Resp. Sens. 1B", "0.1", "0.099"),
        ("Carc. 2", "0.1", "0.099"), ("Repr. 2", "0.1", "0.099"), ("Repr. 1B", "0.1", "0.099"),
        ("Lact.", "0.1", "0.099"), ("STOT SE 3", "1", "0.99"), ("Aquatic Chronic 3", "1", "0.99"),
        ("Eye Irrit. 2", "1", "0.99"),
    ],
)  # fmt: skip
def test_each_class_has_its_own_share_from_which_on_a_sheet_is_asked_for(cls, just, under):
    assert found(of(under, cls)).on_request == ()
    (reason,) = found(of(just, cls)).on_request
    assert (reason.why, reason.rule) == (cls, "CLP Annex II 2.10 [O]")


def test_a_specific_limit_of_a_sensitiser_counts_by_its_tenth_however_its_category_is_written():
    own = (Limit(cls="Skin Sens. 1", min_pct=D("0.05")),)
    assert found(of("0.005", "Skin Sens. 1A", limits=own)).on_request
    assert not found(of("0.0049", "Skin Sens. 1A", limits=own)).on_request
