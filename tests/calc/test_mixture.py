"""Classifying a mixture: edges beside the check file, and laws that hold for every mixture.

The check file itself is run by test_reference.py; edges here go by the rule they name.
"""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety.calc.cas import cas_problem, tidy_cas
from safety.calc.hazards import ROUTES, Hazards, Limit
from safety.calc.mixture import Ingredient, classify, merged
from safety.calc.sources import standing
from safety.statements import statement
from safety.substances import by_cas, like, table

D = Decimal
SIGNALS = {None: 0, "Warning": 1, "Danger": 2}
HARMLESS = Hazards(stated="not hazardous")


def one(name: str, pct: str, *classes: str, **more) -> Ingredient:
    return Ingredient(name=name, pct=D(pct), hazards=Hazards(stated="classes", classes=classes, **more))


def eu(*ingredients: Ingredient, **more):
    return classify(ingredients=ingredients, rules="CLP", **more)


def test_a_line_says_what_counted_against_which_limit_by_which_rule():
    cobalt = one("cobalt carbonate", "1", "Repr. 1B", repr_effects="F", note1_fraction=D("0.4955"))
    line = next(line for line in eu(cobalt).lines if line.cls == "Repr. 1B")
    assert (line.sum_pct, line.limit_pct, line.reached) == (D("0.4955"), D("0.3"), True)
    assert line.of == (("cobalt carbonate", D("0.4955"), ""),)
    assert "3.7" in line.rule
    assert "Note 1" in line.note


def test_a_line_within_a_tenth_of_its_limit_is_told_though_not_reached():
    lines = eu(one("X", "0.02", "Carc. 1B")).lines
    assert [(line.cls, line.reached) for line in lines] == [("Carc. 1B", False)]
    assert eu(one("X", "0.009", "Carc. 1B")).lines == ()


@pytest.mark.parametrize(
    ("ph", "classes"),
    [
        ("2", ("Skin Corr. 1", "Eye Dam. 1")),
        ("2.1", ()),
        ("11.4", ()),
        ("11.5", ("Skin Corr. 1", "Eye Dam. 1")),
    ],
)
def test_a_strong_acid_or_alkali_counts_as_corrosive_by_its_ph(ph, classes):
    assert eu(one("soda ash", "5", "Eye Irrit. 2"), ph=D(ph)).classes == classes  # CLP 3.2.3.1.2 [O]


def test_a_specific_limit_for_the_weaker_category_holds_in_the_us_too():
    cadmium = one(
        "cadmium sulphide", "0.2", "STOT RE 1",
        limits=(Limit(cls="STOT RE 1", min_pct=D(10)), Limit(cls="STOT RE 2", min_pct=D("0.1"))),
    )  # fmt: skip
    assert classify(ingredients=[cadmium], rules="US-HCS").classes == ("STOT RE 2",)


def test_cancer_by_inhalation_alone_is_said_so_unless_one_is_not():
    quartz = one("quartz", "1", "Carc. 1A", carc_inhalation_only=True)
    assert eu(quartz).h_codes == ("H350i",)
    assert eu(quartz, one("Y", "1", "Carc. 1B")).h_codes == ("H350",)


def test_letters_of_several_substances_are_merged_the_capital_wins():
    found = eu(one("A", "5", "Repr. 1B", repr_effects="D"), one("B", "5", "Repr. 1A", repr_effects="Fd"))
    assert "H360FD" in found.h_codes


def test_a_sensitiser_below_its_class_is_named_in_the_eu_and_not_in_the_us():
    nickel = one("nickel oxide", "0.5", "Skin Sens. 1B")
    assert (eu(nickel).euh208_names, eu(nickel).label.euh) == (("nickel oxide",), ("EUH208", "EUH210"))
    assert classify(ingredients=[nickel], rules="US-HCS").euh208_names == ()


def test_the_us_rules_know_no_hazard_to_water():
    copper = one("copper carbonate", "5", "Aquatic Acute 1", "Aquatic Chronic 1", m_acute=10, m_chronic=10)
    assert eu(copper).label.h_codes == ("H410",)
    us = classify(ingredients=[copper], rules="US-HCS")
    assert (us.classes, us.aquatic_sums) == ((), {})


def test_the_label_names_what_is_behind_harm_to_people_and_not_what_harms_water():
    found = eu(
        one("copper carbonate", "5", "Aquatic Acute 1", "Aquatic Chronic 1", m_acute=10, m_chronic=10),
        one("quartz", "20", "STOT RE 1"),
    )
    assert found.identifier_names == ("quartz",)


def test_physical_hazards_are_listed_for_a_person_and_never_worked_out():
    found = eu(one("dichromate", "0.01", "Ox. Sol. 2"))
    assert (found.physical_to_review, found.classes) == (("Ox. Sol. 2",), ())


@pytest.mark.parametrize("pct", ["-0.1", "100.1"])
def test_a_share_outside_nought_to_a_hundred_is_refused(pct):
    with pytest.raises(ValueError, match="between 0 and 100"):
        eu(one("X", pct, "Carc. 1B"))


# --- laws

CLASSES = sorted({cls for row in table() for cls in row.hazards.classes})
NAMES = st.sampled_from(["a", "b", "c", "d", "e", "f"])


@st.composite
def mixtures(draw):
    names = draw(st.lists(NAMES, min_size=1, max_size=6, unique=True))
    weights = draw(st.lists(st.integers(1, 100), min_size=len(names), max_size=len(names)))
    unknown = draw(st.lists(st.sampled_from(ROUTES), unique=True, max_size=3))
    rows = []
    for name, weight in zip(names, weights, strict=True):
        row = draw(st.sampled_from(table()))
        rows.append(
            Ingredient(name=name, pct=D(100 * weight) / sum(weights), hazards=row.hazards)
            if draw(st.booleans())
            else Ingredient(name=name, pct=D(100 * weight) / sum(weights), hazards=HARMLESS)
        )
    if unknown:
        rows[0] = replace(rows[0], hazards=Hazards(stated="not stated", unknown_acute=tuple(unknown)))
    return rows


def known(rows):
    return [replace(row, hazards=replace(row.hazards, unknown_acute=())) for row in rows]


@given(mixtures(), st.integers(0, 99), st.sampled_from(["CLP", "US-HCS", "GHS"]))
def test_water_never_raises_the_signal_word(rows, water, rules):
    rows = known(rows)
    thinner = [replace(row, pct=row.pct * (100 - water) / 100) for row in rows]
    thinner.append(Ingredient(name="water", pct=D(water), hazards=HARMLESS))
    dry, wet = classify(ingredients=rows, rules=rules), classify(ingredients=thinner, rules=rules)
    assert SIGNALS[wet.label.signal_word] <= SIGNALS[dry.label.signal_word]


def gist(found):
    return found.classes, found.h_codes, found.label, found.euh208_names, found.aquatic_sums, found.ate_mix


def near(first, second):
    """The same but for the last figure of a sum taken in another order."""
    *said, water, ate = gist(first)
    *other, water2, ate2 = gist(second)
    close = all(float(water[k]) == pytest.approx(float(water2[k])) for k in water)
    same = all((ate[k] is None) == (ate2[k] is None) for k in ate)
    return said[:3] == other[:3] and set(said[3]) == set(other[3]) and close and same


@given(mixtures(), st.randoms(use_true_random=False))
def test_the_order_of_what_is_in_it_does_not_matter(rows, random):
    shuffled = list(rows)
    random.shuffle(shuffled)
    assert near(eu(*rows), eu(*shuffled))


@given(mixtures(), st.integers(1, 9))
def test_a_substance_in_two_rows_is_one_substance(rows, tenths):
    first, *others = rows
    halves = [replace(first, pct=first.pct * tenths / 10), replace(first, pct=first.pct * (10 - tenths) / 10)]
    assert len(merged([*halves, *others])) == len(rows)
    assert near(eu(*rows), eu(*halves, *others))


# --- sources


def test_a_seed_never_softens_a_stricter_sheet_and_the_harmonised_entry_is_the_least_in_the_eu():
    sheet = Hazards(stated="classes", classes=("STOT RE 1",), source="sheet")
    least = Hazards(stated="classes", classes=("Acute Tox. 4 (oral)",), source="Annex VI")
    seed = Hazards(stated="not hazardous", source="table")
    assert standing(sheet=sheet, harmonised=None, seed=seed, law="EU") == sheet
    both = standing(sheet=sheet, harmonised=least, seed=None, law="EU")
    assert set(both.classes) == {"STOT RE 1", "Acute Tox. 4 (oral)"}
    assert both.source == "sheet; Annex VI"
    assert standing(sheet=sheet, harmonised=least, seed=None, law="US") == sheet


def test_a_sheet_that_says_not_hazardous_does_not_undo_the_legal_minimum():
    says = Hazards(stated="not hazardous", source="sheet")
    copper = by_cas("1317-38-0")[0].hazards
    assert standing(sheet=says, harmonised=copper, seed=None, law="EU").classes == copper.classes


def test_without_any_word_a_substance_is_unknown_and_never_harmless():
    found = standing(sheet=Hazards(stated="not stated"), harmonised=None, seed=None, law="EU")
    assert (found.stated, found.known, set(found.unknown_acute)) == ("unknown", False, set(ROUTES))


# --- the tables


def test_every_row_of_the_table_keeps_its_mark_and_every_class_has_a_known_name():
    assert len(table()) == 57
    assert all("[O]" in row.status or "[M]" in row.status for row in table())
    assert all(row.hazards.classes or row.hazards.stated == "not hazardous" for row in table())
    bad = [cls for cls in CLASSES if not cls.endswith(tuple("1234ABCts.)"))]
    assert bad == []


def test_every_cas_number_of_the_table_has_its_check_digit():
    assert [row.cas for row in table() if cas_problem(row.cas)] == []


@pytest.mark.parametrize(
    "typed", ["14808-60-8", "14808-6-07", "1480860-7", "quartz", "14808-60-", "12345678-12-3", "١٤٨٠٨-٦٠-٧"]
)
def test_a_number_that_is_none_is_told(typed):
    assert cas_problem(typed)


def test_a_number_with_other_dashes_or_spaces_is_read():
    assert cas_problem(" 14808–60–7 ") is None
    assert tidy_cas(" 14808–60–7 ") == "14808-60-7"


def test_the_number_of_every_frit_is_not_taken_for_lead():
    assert by_cas("65997-18-4") == ()
    assert {row.material for row in table() if row.cas == "65997-18-4"} == {
        "Lead bisilicate frit", "Generic (lead-free) frit",
    }  # fmt: skip


def test_in_the_us_quartz_is_a_carcinogen_too():
    assert "Carc. 1A" in by_cas("14808-60-7", "US")[0].hazards.classes
    assert "Carc. 1A" not in by_cas("14808-60-7", "EU")[0].hazards.classes


@pytest.mark.parametrize(
    ("name", "first"),
    [
        ("Barium carb", "Barium carbonate"),
        ("copper carbonate", "Copper carbonate (basic)"),
        ("Flint", "Silica / flint / quartz"),
    ],
)
def test_a_name_like_a_row_suggests_it_and_a_strange_one_nothing(name, first):
    assert like(name)[0].material == first
    assert like("Frit A") == []


def test_statements_are_known_for_every_class_of_the_table_and_keep_their_mark():
    for row in table():
        found = classify(ingredients=[Ingredient(name="x", pct=D(100), hazards=row.hazards)], rules="CLP")
        for code in (*found.label.h_codes, *found.label.p_codes, *found.label.euh):
            assert statement(code).text
            assert statement(code).status == "[O]"
    with pytest.raises(KeyError):
        statement("H999")
