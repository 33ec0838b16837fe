"""What a derivation shows: sums beside their limits to the figures that matter, terms, reasons."""

from decimal import Decimal

import pytest

from safety import derivation
from safety.calc.composition import strictest
from safety.calc.hazards import Hazards
from safety.calc.limits import H_OF
from safety.calc.mixture import RULES_OF_LAW, Ingredient, classify
from safety.class_words import short_names
from safety.statements import codes_of
from safety.substances import by_cas
from studio.room.models import Details

D = Decimal


@pytest.mark.parametrize(
    ("total", "limit", "said"),
    [
        ("9.9999999", "10", "9.9999999"),
        ("10", "10", "10"),
        ("10.00000001", "10", "10.00000001"),
        ("14.928229665071770334928", "10", "14.9282"),
        ("0.0999999999", "0.1", "0.0999999999"),
        ("0.018433", "0.1", "0.018433"),
    ],
)
def test_a_sum_shows_on_which_side_of_its_limit_it_lies(total, limit, said):
    assert derivation.apart(total, limit).replace("\u00a0", " ") == f"{said} %"


def test_marks_are_words():
    assert derivation.status_in_words("[O] classes (AU list) / [M] ATE") == (
        "opened: classes (AU list) / from memory: ATE"
    )
    assert derivation.status_in_words("[M]") == "from memory"


def mixture(*ingredients, rules="CLP"):
    """What the pages get: the plain result and the plain inputs of a mixture."""
    rows = tuple(Ingredient(name=name, pct=D(pct), hazards=hazards) for name, pct, hazards in ingredients)
    result = classify(ingredients=rows, rules=rules).as_plain()
    substances = [
        {"name": one.name, "cas": "", "pct": str(one.pct), "hazards": one.hazards.as_plain(), "of": []}
        for one in rows
    ]
    return result, {"substances": substances}


def test_the_terms_of_an_estimate_add_up_to_it():
    """Barium carbonate, Acute Tox. 4 (oral), point value 500 (mixtures.md 2): 100 / (30 / 500) = 1 667."""
    barium = Hazards(stated="classes", classes=("Acute Tox. 4 (oral)",))
    unknown = Hazards(stated="unknown", unknown_acute=("oral", "dermal", "inhal_dust"))
    (oral, *_) = derivation.acute_of(*mixture(("barium carbonate", "30", barium)))
    assert (oral["by"], oral["over"]) == ("by mouth", "100\u00a0%")
    assert oral["terms"] == [("barium carbonate: 30\u00a0% ÷ 500", "point value of Acute Tox. 4 (oral)")]
    assert oral["ate"].replace("\u202f", "") == "1667"
    (oral, *_) = derivation.acute_of(*mixture(("barium carbonate", "30", barium), ("dust", "20", unknown)))
    assert (oral["over"], oral["unknown"]) == ("80\u00a0%", "20\u00a0%")
    assert oral["ate"].replace("\u202f", "") == "1333"


def test_an_estimate_shows_the_mass_it_was_counted_over_where_ranges_end_above_the_whole():
    """Barium carbonate 95 %, point value 500 (mixtures.md 2), unknown 20 %: 95 / (95 / 500) = 500."""
    barium = Hazards(stated="classes", classes=("Acute Tox. 4 (oral)",))
    unknown = Hazards(stated="unknown", unknown_acute=("oral", "dermal", "inhal_dust"))
    found = mixture(("barium carbonate", "95", barium), ("dust", "20", unknown))
    (oral, *_) = derivation.acute_of(*found)
    assert (oral["over"], oral["unknown"], oral["ate"]) == ("95\u00a0%", "20\u00a0%", "500.0")
    assert oral["beyond"]
    (line,) = derivation.lines_of(found[0])
    assert "counted over the 95 % that counted: more than the 80 % left" in line["note"]


def test_a_weighted_sum_says_how_it_is_weighted():
    copper = Hazards(
        stated="classes", classes=("Aquatic Acute 1", "Aquatic Chronic 1"), m_acute=10, m_chronic=10
    )
    lines = derivation.lines_of(mixture(("copper carbonate", "2.5", copper))[0])
    assert {"Aquatic Acute 1", "Aquatic Chronic 1"} <= {line["cls"] for line in lines}
    assert all("Σ" in line["how"] for line in lines)
    assert lines[0]["reached"]
    assert [line["reached"] for line in lines] == sorted((line["reached"] for line in lines), reverse=True)


def test_every_precaution_and_every_statement_left_out_has_its_reason():
    copper = Hazards(
        stated="classes", classes=("Acute Tox. 3 (oral)", "Aquatic Acute 1", "Aquatic Chronic 1"), m_acute=10
    )
    label = derivation.label_of(mixture(("stuff", "60", copper))[0], "EU")
    assert label["dropped"] == [("H400", "H410 says it already")]
    reasons = {row.code: why for row, why in label["p"]}
    assert reasons["P273"] == "for H410"
    assert reasons["P301+P310"] == "for H301"
    assert reasons["P501"] == "for disposal"
    assert all(reasons.values())


def test_what_is_said_of_a_substance_tells_the_three_kinds_of_silence_apart():
    said = [
        derivation.said_of(Hazards(stated=stated).as_plain())
        for stated in ("not hazardous", "not stated", "unknown")
    ]
    assert said == ["stated as not hazardous", "not stated: counts as unknown", "unknown"]


def test_a_mark_with_words_inside_it_is_words_too():
    assert derivation.status_in_words("opened; [O: one US sheet]") == "opened; opened: one US sheet"


def test_a_weaker_class_that_is_reached_is_told_apart_from_one_that_is_not():
    """Carc. 1A and Carc. 1B from 0.1 % each (mixtures.md 5): the stricter stands, the other was reached."""
    rows = [
        (name, pct, Hazards(stated="classes", classes=(cls,)))
        for name, pct, cls in (
            ("dust", "5", "Carc. 1A"),
            ("blue", "1", "Carc. 1B"),
            ("brown", "0.5", "Carc. 2"),
        )
    ]
    lines = {line["cls"]: line for line in derivation.lines_of(mixture(*rows)[0])}
    said = {cls: (line["reached"], line["overtaken"]) for cls, line in lines.items()}
    assert said == {"Carc. 1A": (True, False), "Carc. 1B": (False, True), "Carc. 2": (False, False)}


def test_a_note_has_no_long_figures():
    copper = Hazards(stated="classes", classes=("Acute Tox. 4 (oral)",))
    unknown = Hazards(stated="unknown", unknown_acute=("oral",))
    rows = mixture(("copper carbonate", "30", copper), ("frit", "22.11981566820276497695852535", unknown))
    (oral,) = derivation.lines_of(rows[0])
    assert "counted over the 77.8802 % that is known" in oral["note"]


def test_each_figure_and_class_of_two_sources_says_whose_it_is():
    """Copper carbonate, harmonised: M 10, ATE by mouth 500, as dust 1.2 (substances.csv); sheet invented."""
    sheet = Hazards(
        stated="classes",
        classes=("Acute Tox. 4 (oral)", "Eye Irrit. 2"),
        ate={"oral": D(400)},
        m_acute=10,
        source="sheet S028, section 3",
    )
    (table,) = by_cas("12069-69-1")
    both = strictest(sheet, table.hazards).as_plain()
    annex = table.hazards.source
    said = derivation.said_of(both)
    assert f"Aquatic Acute 1 ({annex})" in said
    assert "Eye Irrit. 2," in said  # both say it: the sources of the row
    figures = derivation.figures_of(both, sources=True)
    assert "ATE by mouth 400 mg/kg (sheet S028, section 3)" in figures
    assert f"ATE as dust breathed in 1.2 mg/L, 4 h ({annex})" in figures
    assert f"M-factor acute 10 (sheet S028, section 3; {annex})" in figures
    assert f"M-factor chronic 10 ({annex})" in figures
    oral, dust = derivation.acute_of(*mixture(("copper carbonate", "30", Hazards.from_plain(both))))
    assert oral["terms"] == [("copper carbonate: 30\u00a0% ÷ 400", "ATE, sheet S028, section 3")]
    assert dust["terms"] == [("copper carbonate: 30\u00a0% ÷ 1.2", f"ATE, {annex}")]


def test_a_specific_limit_says_whose_it_is():
    """Cobalt carbonate, Carc. 1B from 0.01 % (harmonised, substances.csv); a sheet without it, invented."""
    (table,) = by_cas("513-79-1")
    sheet = Hazards(stated="classes", classes=table.hazards.classes, source="sheet S034, section 3")
    figures = derivation.figures_of(strictest(sheet, table.hazards).as_plain(), sources=True)
    said = next(one for one in figures if one.startswith("specific limit"))
    assert said == f"specific limit: Carc. 1B from 0.01\u00a0% ({table.hazards.source})"


def test_a_frit_without_classes_whose_acute_toxicity_is_unknown_says_both():
    frit = Hazards(stated="not hazardous", unknown_acute=("oral", "dermal", "inhal_dust"))
    said = derivation.said_of(frit.as_plain())
    assert said == "classes stated as none; its acute toxicity is not known"


@pytest.mark.parametrize(
    ("law", "rules", "codes"),
    [
        ("EU", "CLP", ["H350i", "H360Fd"]),
        ("US", "US-HCS", ["H350", "H360"]),
        ("UN", "GHS", ["H350", "H360"]),
    ],
)
def test_letters_of_a_code_are_the_eu_s_and_the_words_of_effect_and_route_stay(law, rules, codes):
    """Letters: CLP Annex III; H350i, H360Fd as statements.csv words them (opened). Ingredients invented."""
    dust = Hazards(stated="classes", classes=("Carc. 1B",), carc_inhalation_only=True)
    salt = Hazards(stated="classes", classes=("Repr. 1B",), repr_effects="Fd")
    result, _ = mixture(("dust", "5", dust), ("salt", "5", salt), rules=rules)
    label = derivation.label_of(result, law)
    assert [(row.code, row.text) for row in label["h"]] == list(
        zip(
            codes,
            [
                "May cause cancer by inhalation.",
                "May damage fertility. Suspected of damaging the unborn child.",
            ],
            strict=True,
        )
    )
    assert {line["h_code"] for line in derivation.lines_of(result)} <= {*codes, "H361d", "H361"}
    reasons = {row.code: why for row, why in label["p"]}
    assert reasons["P201"] == f"for {', '.join(codes)}"
    assert codes_of(result["label"], law) == codes


def test_a_statement_of_the_eu_alone_is_printed_under_no_other_law():
    label = {"h_codes": ["H317", "H361fd"], "euh": ["EUH208", "EUH210"]}
    assert codes_of(label, "EU") == ["H317", "H361fd", "EUH208", "EUH210"]
    assert codes_of(label, "US") == codes_of(label, "UN") == ["H317", "H361"]


def test_a_line_of_acute_toxicity_has_the_estimate_and_the_bound_of_its_category():
    """Point value 500 (mixtures.md 2): 30 % of it gives 1 667 mg/kg, category 4 up to 2 000 mg/kg."""
    barium = Hazards(stated="classes", classes=("Acute Tox. 4 (oral)",))
    (line,) = derivation.lines_of(mixture(("barium carbonate", "30", barium))[0])
    said = (line["sum"].replace("\u00a0", " "), line["limit"].replace("\u00a0", " "))
    assert said == ("ATE 1\u202f666.67 mg/kg", "up to 2\u202f000 mg/kg")


def test_the_un_rules_have_one_name_everywhere():
    assert Details.Law("UN").label == RULES_OF_LAW["UN"][1]


def test_a_rule_used_by_convention_says_so_once():
    said = derivation.marked("CLP 3.6, Table 3.6.2 [O], used for UN GHS by convention [P]")
    assert said == "CLP 3.6, Table 3.6.2 (opened), used for UN GHS (convention)"


def test_every_class_a_rule_can_give_has_plain_words_once():
    """Every class that limits.py writes as a statement."""
    unnamed = [cls for cls in H_OF if len(short_names([cls])) != 1]
    assert not unnamed
    found = short_names(["STOT RE 2", "STOT RE 1", "STOT SE 3", "Carc. 1B"], figures=True)
    assert [name for name, _ in found] == ["Carc.", "STOT SE", "STOT RE", "ATE", "M-factor"]
