"""What may be said of food contact: limits, categories and elements by their sources; nothing missing, older
or worse makes a sentence milder."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety.calc.careful import Analysed, Careful, careful_of, elements_in
from safety.calc.contact import (
    NO_LEACH_TEST,
    NOT_FOR_FOOD,
    claims_in,
    gravity,
    may_be_said,
    verdict_of,
)
from safety.calc.freshness import months_after
from safety.calc.leach import ACID, Result, category_of, judged, passes
from safety.calc.leach import Tested as OnRecord
from safety.contact_tables import careful_elements, limit_sets, limits_of_law

D = Decimal
EU, US, ISO = limits_of_law("EU"), limits_of_law("US"), limits_of_law("UN")
TODAY = date(2026, 4, 6)


def results(lead, cadmium=("0.01",), *, unit="mg/L", cadmium_below=True):
    """A result a piece; one of cadmium stands for all of them."""
    cadmium = cadmium * len(lead) if len(cadmium) == 1 else cadmium
    return tuple(
        Result(piece=n, element=element, value=D(value), unit=unit, below=below)
        for element, values, below in (("Pb", lead, False), ("Cd", cadmium, cadmium_below))
        for n, value in enumerate(values, 1)
    )


def mugs(lead=("0.2",) * 6, cadmium=("0.01",), **changed):
    """Six mugs (80 mm deep, 350 mL) by the method of the EU and ISO; invented."""
    said = {
        "name": "L001", "version": 2, "clay": "buff stoneware", "firing": "cone 6, oxidation",
        "method": "ISO 6486-1", "leachant": ACID, "hours": D(24), "temperature_c": D(22), "depth_mm": D(80),
        "volume_ml": D(350), "use": "cup", "pieces": len(lead), "reported_on": date(2026, 2, 10),
        "expires_on": date(2028, 2, 10), "results": results(lead, cadmium), "limits": EU,
    }  # fmt: skip
    return OnRecord(**{**said, **changed})


def said(*tests, elements=None, limits=EU, today=TODAY):
    return may_be_said(tests=tests, elements=elements or Careful(), limits=limits, today=today)


# --- categories: food_contact.md 2 and 5.6: exactly 25 mm is flat, 1.1 L large, 3 L category 2


@pytest.mark.parametrize(
    ("law", "depth", "volume", "use", "category"),
    [
        ("EU", "25", "300", "tableware", "1"),  # [O] 84/500/EEC
        ("EU", "25.1", "300", "tableware", "2"),
        ("EU", "10", "300", "cooking", "3"),  # cooking ware first, though it is flat
        ("EU", "200", "3000", "storage", "2"),  # exactly 3 L
        ("EU", "200", "3000.1", "storage", "3"),
        ("EU", "200", "4000", "tableware", "2"),  # only packing and storage go by 3 L
        ("US", "25", "900", "tableware", "flatware"),  # [O] CPG 545.400
        ("US", "25.1", "1099.9", "tableware", "small hollowware"),
        ("US", "60", "1100", "tableware", "large hollowware"),
        ("US", "80", "350", "cup", "cups and mugs"),
        ("US", "20", "80", "cup", "cups and mugs"),  # a shallow cup stays one: the stricter
        ("US", "120", "1100", "cup", "large cups and mugs"),
        ("US", "200", "1099", "pitcher", "pitchers"),
        ("US", "200", "1100", "pitcher", "large pitchers"),
        ("UN", "25", "900", "tableware", "flatware"),  # [M] ISO 6486-2
        ("UN", "90", "3000", "storage", "storage"),
        ("UN", "90", "2999", "storage", "large hollowware"),
        ("UN", "20", "900", "cooking", "cooking ware"),
        ("UN", "90", "1100", "cup", "cups and mugs"),
    ],
)
def test_the_category_comes_of_depth_volume_and_use(law, depth, volume, use, category):
    found = category_of(law, depth_mm=D(depth), volume_ml=D(volume), use=use)
    assert found == category
    assert {limit.element for limit in limits_of_law(law).limits[found]} == {"Pb", "Cd"}


# food_contact.md 2: lead and cadmium, with the unit; "US" pitchers' cadmium by size is [M], read strictly
LIMITS = [
    ("EU", "1", "0.8", "0.07", "mg/dm²"), ("EU", "2", "4.0", "0.3", "mg/L"),
    ("EU", "3", "1.5", "0.1", "mg/L"),
    ("US", "flatware", "3.0", "0.5", "mg/L"), ("US", "small hollowware", "2.0", "0.5", "mg/L"),
    ("US", "cups and mugs", "0.5", "0.5", "mg/L"), ("US", "large hollowware", "1.0", "0.25", "mg/L"),
    ("US", "large cups and mugs", "0.5", "0.25", "mg/L"), ("US", "pitchers", "0.5", "0.25", "mg/L"),
    ("US", "large pitchers", "0.5", "0.25", "mg/L"), ("UN", "flatware", "0.8", "0.07", "mg/dm²"),
    ("UN", "small hollowware", "2.0", "0.5", "mg/L"), ("UN", "large hollowware", "1.0", "0.25", "mg/L"),
    ("UN", "storage", "0.5", "0.25", "mg/L"), ("UN", "cups and mugs", "0.5", "0.25", "mg/L"),
    ("UN", "cooking ware", "0.5", "0.05", "mg/L"),
]  # fmt: skip


@pytest.mark.parametrize(("law", "category", "lead", "cadmium", "unit"), LIMITS)
def test_limits_are_those_of_the_sources(law, category, lead, cadmium, unit):
    rows = {limit.element: limit for limit in limits_of_law(law).limits[category]}
    assert (rows["Pb"].value, rows["Cd"].value) == (D(lead), D(cadmium))
    assert {row.unit for row in rows.values()} == {unit}
    assert all(any(mark in row.status for mark in ("[O]", "[M]", "[P]")) for row in rows.values())


def test_every_limit_and_element_is_in_the_table_above_and_keeps_its_mark():
    assert sum(len(one.limits) for one in limit_sets().values()) == len(LIMITS)
    assert all("[" in one.status for one in (*limit_sets().values(), *careful_elements()))


# --- judging


@pytest.mark.parametrize(
    ("values", "rule", "strict", "keeps"),
    [
        (("4.0",), "each", False, True),  # at the limit: does not exceed it
        (("4.0",), "each", True, False),  # an action level is reached, the strict reading [P]
        (("4.01", "0.1"), "each", False, False),
        (("7.9", "0.1"), "mean", False, True),  # mean exactly 4.0
        (("7.91", "0.1"), "mean", False, False),
        # 84/500/EEC Art. 2(5) [O]: up to half over, three others on average within, none over by half
        (("6.0", "1", "1", "1"), "directive", False, True),
        (("6.0", "1", "1"), "directive", False, False),  # two others only
        (("6.01", "1", "1", "1"), "directive", False, False),
        (("6.0", "5", "4", "4"), "directive", False, False),  # the others: 4.33 on average
        (("5.0", "5", "1", "1", "1"), "directive", False, True),
    ],
)
def test_pieces_are_judged_as_the_law_judges_them(values, rule, strict, keeps):
    assert passes([D(value) for value in values], D(4), rule, strict=strict) is keeps


def word(test, limits=EU):
    return judged(test, limits, today=TODAY).word


def test_what_is_not_found_counts_as_its_detection_limit_and_as_nothing():
    assert word(mugs(cadmium=("0.3",))) == "within"
    assert word(mugs(cadmium=("0.31",))) == "open"  # it may be over or not
    one_over = results(("0.2",) * 6, ("0.46",) + ("0.01",) * 5, cadmium_below=False)
    assert word(mugs(results=one_over)) == "over"  # more than half over 0.3


WITHOUT = [
    {"method": "other"}, {"leachant": "other"}, {"hours": D(23)}, {"hours": D(25)}, {"temperature_c": D(19)},
    {"temperature_c": D(25)}, {"pieces": 7}, {"results": results(("0.2",) * 6)[:6]}, {"results": ()},
    {"results": results(("0.2",) * 6, unit="mg/dm²")}, {"depth_mm": D(20)}, {"method": "ASTM C738"},
]  # fmt: skip


@pytest.mark.parametrize("changed", WITHOUT)
def test_a_test_that_is_not_the_one_asked_for_supports_nothing(changed):
    found = said(mugs(**changed))
    assert (found.state, gravity(found.label)) == ("untested", 1)
    assert found.label == "No leach test that counts: L001 cannot be judged."
    assert "L001 supports no statement" in found.sentences[0]


def test_over_is_over_however_it_was_tested_and_however_old_it_is():
    for changed in (*WITHOUT[:7], {"expires_on": date(2020, 1, 1)}, {"newer_lots": ("lot CU-06",)}):
        found = said(mugs(lead=("9",) * 6, **{"pieces": 6, **changed}))
        assert (found.state, gravity(found.label)) == ("over", 2)


def test_six_pieces_by_its_own_method_are_what_the_us_asks_for():
    six = mugs(lead=("0.4",) * 6, method="ASTM C738", limits=US)
    assert word(six, US) == "within"
    assert word(replace(six, pieces=5, results=results(("0.4",) * 5)), US) == "open"
    assert word(replace(six, results=results(("0.4",) * 5 + ("0.5",))), US) == "over"  # at the level
    plates = replace(six, depth_mm=D(20), use="tableware", results=results(("2.0",) * 5 + ("7.9",)))
    assert word(plates, US) == "within"  # the mean of six is 2.98
    assert word(replace(plates, results=results(("2.0",) * 5 + ("8.1",))), US) == "over"


def test_limits_that_ended_support_nothing_more():
    assert word(mugs(), replace(EU, until=TODAY)) == "within"
    assert word(mugs(), replace(EU, until=TODAY - timedelta(days=1))) == "open"


# --- what is said


def test_without_evidence_it_says_so():
    found = said()
    assert (found.state, found.label, found.sentences) == ("untested", NO_LEACH_TEST, (NO_LEACH_TEST,))
    assert NO_LEACH_TEST == "No leach test on record."


def test_a_test_within_its_limits_is_told_with_all_it_is_true_for():
    found = said(mugs(layers="two coats"))
    assert found.state == "within"
    assert found.until == date(2028, 2, 10)
    assert found.label == (
        "Leach test L001, ISO 6486-1 of 10 Feb 2026, version 2 on buff stoneware, cone 6, oxidation, two "
        "coats: Pb up to 0.2 mg/L, Cd < 0.01 mg/L, within Directive 84/500/EEC, category 2. "
        "For that combination alone, until 10 Feb 2028."
    )


def test_it_counts_through_its_last_day_and_not_after_a_new_lot():
    last = said(mugs(), today=date(2028, 2, 10))
    after = said(mugs(), today=date(2028, 2, 11))
    lot = said(mugs(newer_lots=("lot CU-06 of Copper carbonate",)))
    assert (last.state, after.state, lot.state) == ("within", "expired", "expired")
    assert after.label == "No leach test in force: L001 counted until 10 Feb 2028."
    assert lot.label.endswith("does not count for what came since: lot CU-06 of Copper carbonate.")


def test_one_test_over_outweighs_all_the_others_and_comes_first():
    found = said(mugs(name="L003"), mugs(name="L002", lead=("4.5",) * 6), mugs())
    assert found.state == "over"
    assert found.label == (
        "Not for food: leach test L002 is over Directive 84/500/EEC, category 2 (Pb up to 4.5 mg/L, limit 4)."
    )
    assert found.sentences[0].startswith(NOT_FOR_FOOD)


def test_over_by_the_limits_the_report_names_is_over_though_the_studio_has_others():
    mug = mugs(lead=("0.8",) * 6, limits=US)  # a cup: 0.5 in the US, 4.0 in the EU
    assert said(replace(mug, limits=EU)).state == "within"
    assert said(mug).state == "over"
    assert "FDA" in said(mug).label


@pytest.mark.parametrize("name", ["Red lead", "Litharge", "Cadmium red stain", "Glaze with PbO"])
def test_lead_and_cadmium_are_never_for_food_whatever_was_tested(name):
    found = said(mugs(), elements=careful_of([Analysed(name=name)], careful_elements()))
    assert found.label.startswith("Not for food: contains ")
    assert found.until is None
    assert found.sentences[0].startswith(NOT_FOR_FOOD)


def test_what_has_no_limit_is_named_on_the_label_as_not_assessed():
    copper = careful_of([Analysed(name="Copper carbonate")], careful_elements())
    assert said(mugs(), elements=copper).label.endswith("Not assessed: copper.")
    assert any(
        "copper (Copper carbonate): test before food use" in one for one in said(elements=copper).sentences
    )


# --- elements: food_contact.md 3


@pytest.mark.parametrize(
    ("name", "symbols"),
    [
        ("Barium carbonate", ["Ba"]), ("Spodumene", ["Li"]), ("Manganese dioxide", ["Mn"]),
        ("Cobalt oxide", ["Co"]), ("Nickel oxide", ["Ni"]), ("copper(II) carbonate", ["Cu"]),
        ("Chrome-tin pink", ["Cr"]), ("Potassium dichromate", ["Cr"]), ("Vanadium pentoxide", ["V"]),
        ("Strontium carbonate", ["Sr"]), ("Zinc oxide", ["Zn"]), ("Naples yellow", ["Pb", "Sb"]),
        ("Selenium red", ["Se"]), ("Uranium oxide", ["U"]), ("Monazite", ["Th"]), ("Fluorspar", ["F"]),
        ("Borax", ["B"]), ("Colemanite", ["B"]), ("Cryolite", ["F"]), ("Arsenic trioxide", ["As"]),
        ("Silica", []), ("Wollastonite", []), ("Lead-free frit", []), ("Kaolin", []), ("Cone 6 ash", []),
    ],
)  # fmt: skip
def test_an_element_is_flagged_by_the_names_it_goes_by(name, symbols):
    assert elements_in([name], careful_elements()) == symbols


def test_all_of_the_reference_are_there_and_lead_and_cadmium_come_first():
    symbols = [one.symbol for one in careful_elements()]
    assert symbols[:2] == ["Pb", "Cd"]
    assert "".join(sorted(symbols[2:])) == "AsBBaCoCrCuFLiMnNiSbSeSrThUVZn"


def test_an_analysis_is_known_when_substances_come_to_all_of_it_and_none_is_a_frit():
    def known(*substances):
        return Analysed(
            name="x", substances=tuple(((name,), cas, D(pct)) for name, cas, pct in substances)
        ).known

    assert known(("strontium carbonate", "1633-05-2", "98"), ("barium carbonate", "513-77-9", "1"))
    assert not known()
    assert not known(("kaolinite", "1332-58-7", "98.9"))
    assert not known(("frits, chemicals", "65997-18-4", "100"))
    assert not known(("a borosilicate glass", "", "100"))
    found = careful_of([Analysed(name="Frit L")], careful_elements())
    assert found.unknown == ("Frit L",)
    assert "Not known what is in Frit L: ask for the analysis." in said(elements=found).sentences


@pytest.mark.parametrize(
    ("day", "months", "after"),
    [
        (date(2026, 2, 10), 24, date(2028, 2, 10)), (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2025, 12, 31), 2, date(2026, 2, 28)), (date(2025, 8, 31), 1, date(2025, 9, 30)),
        (date(2025, 1, 15), 1, date(2025, 2, 15)), (date(2025, 12, 1), 1, date(2026, 1, 1)),
    ],
)  # fmt: skip
def test_months_end_on_a_day_there_is(day, months, after):
    assert months_after(day, months) == after


# --- laws: no evidence, or worse evidence, never makes a sentence milder

AMOUNT = st.integers(0, 900).map(lambda n: D(n) / 100)


@st.composite
def drawn(draw):
    pieces = draw(st.integers(1, 7))
    rows = tuple(
        Result(piece=n, element=element, value=draw(AMOUNT) / scale, unit="mg/L", below=draw(st.booleans()))
        for element, scale in (("Pb", 1), ("Cd", 20))
        for n in range(1, pieces + 1)
    )
    return mugs(
        pieces=pieces,
        results=rows,
        lead=("0",),
        method=draw(st.sampled_from(["ISO 6486-1", "ASTM C738", "other"])),
        depth_mm=draw(st.sampled_from([D(80), D(25)])),
        volume_ml=draw(st.sampled_from([D(350), D(1100)])),
        use=draw(st.sampled_from(["cup", "tableware", "pitcher", "storage", "cooking"])),
        hours=draw(st.sampled_from([D(24), D(20)])),
        expires_on=draw(st.sampled_from([date(2028, 1, 1), date(2026, 1, 1)])),
        limits=draw(st.sampled_from([EU, US, ISO, None])),
    )


LAWS = st.sampled_from([EU, US, ISO])


@given(tests=st.lists(drawn(), max_size=3), limits=LAWS)
def test_without_evidence_nothing_mild_is_said(tests, limits):
    without = may_be_said(tests=(), elements=Careful(), limits=limits, today=TODAY)
    assert gravity(without.label) >= 1
    found = may_be_said(tests=tests, elements=Careful(), limits=limits, today=TODAY)
    assert gravity(found.label) == {"within": 0, "untested": 1, "expired": 1, "over": 2}[found.state]
    assert not claims_in(" ".join((found.label, *found.sentences)))


@given(test=drawn(), limits=LAWS, data=st.data())
def test_worse_evidence_never_yields_a_milder_sentence(test, limits, data):
    row = data.draw(st.integers(0, len(test.results) - 1))
    at = test.results[row]

    def with_row(*rows):
        return replace(test, results=(*test.results[:row], *rows, *test.results[row + 1 :]))

    worse = [
        with_row(replace(at, value=at.value + data.draw(AMOUNT))),
        with_row(replace(at, value=at.value + D("0.01"), below=False)),
        replace(test, expires_on=TODAY - timedelta(days=1)),
        replace(test, newer_lots=("lot FA-04 of Frit A",)),
        replace(test, method="other"),
        replace(test, leachant="other"),
        replace(test, pieces=test.pieces + 1),
    ]
    before = gravity(said(test, limits=limits).label)
    for one in worse:
        assert gravity(said(one, limits=limits).label) >= before
    if before < 2:  # less evidence: a result, or the whole test, is gone
        assert gravity(said(with_row(), limits=limits).label) >= before
        assert gravity(said(limits=limits).label) >= before


@given(tests=st.lists(drawn(), min_size=1, max_size=3), limits=LAWS, days=st.integers(0, 2000))
def test_neither_time_nor_a_test_over_its_limits_makes_it_milder(tests, limits, days):
    now = gravity(said(*tests, limits=limits).label)
    assert gravity(said(*tests, limits=limits, today=TODAY + timedelta(days=days)).label) >= now
    assert gravity(said(mugs(lead=("99",) * 6), *tests, limits=limits).label) == 2
    lead = careful_of([Analysed(name="Red lead")], careful_elements())
    assert gravity(said(*tests, limits=limits, elements=lead).label) == 2


@given(test=drawn(), share=st.integers(1, 99).map(lambda n: D(n) / 100))
def test_a_lower_limit_never_makes_it_milder(test, share):
    lower = replace(
        EU,
        limits={
            category: tuple(replace(limit, value=limit.value * share) for limit in rows)
            for category, rows in EU.limits.items()
        },
    )
    order = {"within": 0, "expired": 1, "not judged": 1, "over": 2}
    test = replace(test, limits=None)
    assert order[verdict_of(test, lower, TODAY).state] >= order[verdict_of(test, EU, TODAY).state]


@pytest.mark.parametrize(
    "claim",
    ["food safe", "Food-safe", "dinnerware safe", "non-toxic", "nontoxic", "lead-free", "lead free",
     "leadless", "safe for food", "safe to use with food", "free of lead", "cadmium-free"],
)  # fmt: skip
def test_claims_are_found_however_they_are_written(claim):
    assert claims_in(f"This glaze is {claim}.")
    assert not claims_in("Not for food surfaces: nothing here says it is fit for food; safety data sheet.")
