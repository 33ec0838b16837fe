"""Classifying a mixture: edges beside the check file, and laws that hold for every mixture.

The check file itself is run by test_reference.py; edges here go by the rule they name.
"""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety.calc.cas import cas_problem, tidy_cas
from safety.calc.composition import strictest
from safety.calc.hazards import ROUTES, Hazards, Limit
from safety.calc.limits import kind_of
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


# --- whose limit, whose note: figures invented, rules of the tables named beside them


def us(*ingredients: Ingredient, **more):
    return classify(ingredients=ingredients, rules="US-HCS", **more)


def un(*ingredients: Ingredient, **more):
    return classify(ingredients=ingredients, rules="GHS", **more)


def test_the_metal_alone_counts_in_the_eu_and_the_whole_mass_elsewhere():
    cobalt = one("cobalt carbonate", "0.4", "Repr. 1B", repr_effects="F", note1_fraction=D("0.4955"))
    assert eu(cobalt).classes == ()  # 0.198 % of metal below 0.3 %, Table 3.7.2 [O]
    assert us(cobalt).classes == un(cobalt).classes == ("Repr. 1B",)


def test_a_specific_limit_above_the_usual_one_softens_in_the_eu_alone():
    cadmium = one("cadmium sulphide", "5", "STOT RE 1", limits=(
        Limit(cls="STOT RE 1", min_pct=D(10)), Limit(cls="STOT RE 2", min_pct=D("0.1")),
    ))  # fmt: skip
    assert eu(cadmium).classes == ("STOT RE 2",)
    assert us(cadmium).classes == ("STOT RE 1",)  # 1 %, Table A.9.3 [O]


def test_a_weaker_class_named_by_a_specific_limit_alone_is_given():
    strong = one("X", "0.05", "Carc. 1B", limits=(Limit(cls="Carc. 2", min_pct=D("0.01")),))
    assert eu(strong).h_codes == ("H351",)


def test_corrosives_with_a_limit_of_their_own_for_irritation_irritate_from_there_on():
    acid = one("X", "0.5", "Skin Corr. 1B", limits=(
        Limit(cls="Skin Corr. 1B", min_pct=D(5)), Limit(cls="Skin Irrit. 2", min_pct=D("0.1")),
        Limit(cls="Eye Irrit. 2", min_pct=D("0.4")),
    ))  # fmt: skip
    assert eu(acid).classes == ("Skin Irrit. 2", "Eye Irrit. 2")
    assert eu(replace(acid, pct=D("0.3"))).classes == ("Skin Irrit. 2",)


def test_what_corrodes_skin_counts_for_eyes_though_its_limit_for_skin_is_high():
    mild_acid = one("X", "3", "Skin Corr. 1", limits=(Limit(cls="Skin Corr. 1", min_pct=D(25)),))
    assert "Eye Dam. 1" in eu(mild_acid).classes  # 3 %, Table 3.3.3 [O]


@pytest.mark.parametrize(
    ("pct", "cls", "classes"),
    [
        ("1", "Skin Corr. 1", ("Skin Corr. 1", "Eye Dam. 1")),
        ("0.99", "Skin Corr. 1", ()),
        ("3", "Skin Irrit. 2", ("Skin Irrit. 2",)),
        ("2.9", "Skin Irrit. 2", ()),
    ],
)
def test_what_does_not_add_up_counts_from_its_own_limits(pct, cls, classes):
    assert eu(one("X", pct, cls), non_additive=True).classes == classes  # Table 3.2.4 [O]


def test_a_specific_limit_stands_where_harm_does_not_add_up_either():
    strong = one("X", "3", "Skin Corr. 1B", limits=(Limit(cls="Skin Corr. 1B", min_pct=D(5)),))
    assert "Skin Corr. 1" not in eu(strong, non_additive=True).classes
    assert "Skin Corr. 1" in eu(replace(strong, pct=D(5)), non_additive=True).classes


@pytest.mark.parametrize(
    ("effects", "cls", "code"),
    [
        ("", "Repr. 1B", "H360"),
        ("df", "Repr. 1B", "H360"),
        ("FD", "Repr. 2", "H361"),
        ("fd", "Repr. 2", "H361fd"),
    ],
)
def test_letters_that_do_not_belong_to_the_category_give_the_statement_of_both(effects, cls, code):
    found = eu(one("X", "50", cls, repr_effects=effects))
    assert found.h_codes == (code,)
    assert statement(code).text


def test_a_statement_of_both_effects_takes_the_place_of_one_with_letters():
    found = eu(one("A", "5", "Repr. 1B"), one("B", "5", "Repr. 2", repr_effects="d"))
    assert found.h_codes == ("H360",)
    weak = eu(one("A", "5", "Repr. 2", repr_effects="f"), one("B", "5", "Repr. 2", repr_effects="d"))
    assert weak.h_codes == ("H361fd",)


def test_small_letters_stand_from_the_us_limit_on_in_the_us():
    lead = one("lead", "0.5", "Repr. 1A", repr_effects="Df", limits=(Limit(cls="Repr. 2", min_pct=D("2.5")),))
    assert eu(lead).h_codes == ("H360D",)  # f from 2.5 %, substances.csv
    assert us(lead).h_codes == ("H360Df",)  # Repr. 2 from 0.1 %, Table A.7.1 [O]


def test_harm_to_airways_counts_though_the_sheet_does_not_say_which_kind():
    assert eu(one("X", "20", "STOT SE 3")).h_codes == ("H335",)
    assert eu(one("X", "12", "STOT SE 3"), one("Y", "8", "STOT SE 3")).h_codes == ("H335",)
    assert eu(one("X", "19", "STOT SE 3")).h_codes == ()


def test_an_estimate_milder_than_the_class_beside_it_does_not_undo_the_class():
    found = eu(one("X", "100", "Acute Tox. 3 (oral)", ate={"oral": D(1200)}))
    assert found.classes == ("Acute Tox. 3 (oral)",)  # point value 100, Table 3.1.2 [O]


def test_unknown_shares_beyond_the_whole_never_divide_by_nothing():
    nothing = Hazards(stated="unknown", unknown_acute=ROUTES)
    rows = [Ingredient(name="X", pct=D(100), hazards=nothing), one("Y", "5", "Acute Tox. 4 (oral)")]
    assert eu(*rows).ate_mix["oral"] == 500  # over the 5 % that are known, all of it Y


@pytest.mark.parametrize(("pct", "stated"), [("0.9", D(0)), ("1", D(1))])
def test_unknown_acute_toxicity_counts_from_one_percent(pct, stated):
    unknown = Ingredient(name="frit", pct=D(pct), hazards=Hazards(stated="not stated", unknown_acute=ROUTES))
    assert eu(unknown, one("Y", "50", "Carc. 2")).unknown_pct["oral"] == stated


@pytest.mark.parametrize(("pct", "category"), [("10", 4), ("10.1", 3)])
def test_beyond_ten_percent_unknown_the_estimate_is_of_what_is_known(pct, category):
    frit = Ingredient(name="frit", pct=D(pct), hazards=Hazards(stated="not stated", unknown_acute=("oral",)))
    # 30 % of ATE 93: 100 ÷ (30 ÷ 93) = 310; 89.9 ÷ (30 ÷ 93) = 279, category 3 up to 300
    toxic = one("Y", "30", "Acute Tox. 3 (oral)", ate={"oral": D(93)})
    assert eu(toxic, frit).classes == (f"Acute Tox. {category} (oral)",)


def test_an_estimate_near_its_limit_is_told_though_not_reached():
    (line,) = eu(one("X", "10", "Acute Tox. 4 (oral)")).lines  # ATE 5000
    assert (line.cls, line.reached) == ("Acute Tox. 4 (oral)", False)
    assert "ATE of the mixture 5000 mg/kg" in line.note


def test_breast_milk_has_its_own_limit_and_no_signal_word():
    assert eu(one("X", "0.3", "Lact.")).h_codes == ("H362",)  # Table 3.7.2 [O]
    assert eu(one("X", "0.29", "Lact.")).h_codes == ()
    assert (eu(one("X", "1", "Lact.")).label.signal_word, us(one("X", "0.1", "Lact.")).h_codes) == (
        None, ("H362",),
    )  # fmt: skip


def test_supplemental_statements_are_eu_law_alone():
    nickel = one("nickel oxide", "0.5", "Skin Sens. 1B")
    assert un(nickel).label.euh == us(nickel).label.euh == ()


@pytest.mark.parametrize(
    ("cls", "pct", "asked"),
    [
        ("Skin Sens. 1A", "0.01", True), ("Skin Sens. 1A", "0.009", False), ("Carc. 2", "0.1", True),
        ("Carc. 2", "0.09", False), ("Acute Tox. 4 (oral)", "1", True), ("Acute Tox. 4 (oral)", "0.9", False),
        ("Ox. Sol. 2", "5", False),
    ],
)  # fmt: skip
def test_a_sheet_may_be_asked_for_from_the_limits_of_annex_two(cls, pct, asked):
    assert ("EUH210" in eu(one("X", pct, cls)).label.euh) == asked  # sds.md 2 [O]


def test_what_no_rule_knows_is_put_before_a_person():
    assert eu(one("oil", "50", "Asp. Tox. 1")).physical_to_review == ("Asp. Tox. 1",)


def test_every_line_names_its_rule_with_a_mark():
    for row in table():
        for rules in ("CLP", "US-HCS", "GHS"):
            found = classify(ingredients=[Ingredient(name="x", pct=D(100), hazards=row.hazards)], rules=rules)
            assert [
                line for line in found.lines if "[" not in line.rule and "specific" not in line.rule
            ] == []
            eu_words = [line for line in found.lines if line.rule.startswith("CLP")]
            assert rules != "US-HCS" or eu_words == []
            assert rules != "GHS" or all("convention [P]" in line.rule for line in eu_words)


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


@given(mixtures(), st.integers(0, 5))
def test_a_second_stricter_source_never_softens_the_first(rows, which):
    first = rows[0]
    other = table()[which * 9].hazards
    both = replace(first, hazards=strictest(first.hazards, other))
    if not first.hazards.known:
        return
    softer, stricter = eu(first, *rows[1:]), eu(both, *rows[1:])
    assert SIGNALS[stricter.label.signal_word] >= SIGNALS[softer.label.signal_word]
    kinds = [{kind_of(cls) for cls in found.classes} for found in (softer, stricter)]
    milder = {"Skin Irrit.": "Skin Corr.", "Eye Irrit.": "Eye Dam."}
    assert all(kind in kinds[1] or milder.get(kind) in kinds[1] for kind in kinds[0])


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
