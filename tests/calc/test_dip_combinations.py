"""The dip check on combinations of facts, each written from its rules: tests/calc/dip_rows.py."""

from dataclasses import replace
from datetime import timedelta

import pytest

from buckets.calc.dip import dip_check
from tests.calc.dip_rows import FIT, NOW, ROWS, UNSTIRRED, ago, done, flow, read


def check(facts):
    return dip_check(facts=replace(FIT, **facts), now=NOW)


def test_there_are_enough_of_them_and_none_twice():
    assert len(ROWS) >= 60
    assert len({sentence for sentence, *_ in ROWS}) == len(ROWS)
    assert len({repr(sorted(facts.items(), key=str)) for _, facts, *_ in ROWS}) == len(ROWS)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_each_combination_has_its_answer_its_reasons_in_order_and_what_would_change_it(row):
    _, facts, answer, reasons, acts = row
    found = check(facts)
    assert found.answer == answer
    assert [reason.code for reason in found.reasons] == reasons
    assert list(found.acts) == acts


@pytest.mark.parametrize("depth_cm", [0.5, 5.0, 9.9])
@pytest.mark.parametrize("row", ROWS[::4], ids=lambda row: row[0])
def test_a_shallow_bucket_is_said_and_changes_no_answer(row, depth_cm):
    facts = {**row[1], "depth_cm": depth_cm}
    assert check(facts).answer == row[2]
    assert [note.code for note in check(facts).notes] == ["shallow"]
    assert "pour or brush" in check(facts).notes[0].sentence


def test_deep_enough_is_not_mentioned_and_the_rule_says_what_deep_enough_is():
    assert check({"depth_cm": 10.0}).notes == ()
    assert check({"depth_cm": 0.0}).notes == ()
    assert [note.code for note in check({"depth_cm": 12.0, "keep_depth_cm": 15.0}).notes] == ["shallow"]


def test_a_hair_under_the_rule_is_not_rounded_up_to_it():
    assert check({"depth_cm": 9.96}).notes[0].sentence.startswith("It is about 9.9 cm deep")
    assert check({"depth_cm": 8.0}).notes[0].sentence.startswith("It is about 8 cm deep")


def test_heavy_use_brings_the_end_of_a_reading_nearer_and_says_so():
    worn = check({"technician": read(1.45, days=1, litres=12.0), **UNSTIRRED})
    assert (worn.readings_until, worn.worn) == (ago(days=1) + timedelta(days=2), True)
    spared = check({"technician": read(1.45, days=1, litres=9.0), **UNSTIRRED})
    assert (spared.readings_until, spared.worn) == (ago(days=1) + timedelta(days=7), False)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ("water in", "Water went in after the last reading."),
        ("powder in", "Powder went in after the last reading."),
        ("water off", "Water was taken off after the last reading."),
        ("additive in", "An additive went in after the last reading."),
        ("topped up", "It was topped up after the last reading."),
        ("thawed", "It froze and thawed after the last reading."),
    ],
)
def test_what_changed_is_named(change, says):
    assert check(done(change, hours=1)).reasons[0].sentence == says


def test_the_flow_says_which_side_and_what_comes_of_it():
    slow, fast = check({"flow": flow(60)}).reasons[0], check({"flow": flow(40)}).reasons[0]
    assert "20 % slower" in slow.sentence
    assert "thicker" in slow.sentence
    assert "20 % faster" in fast.sentence
    assert "thinner" in fast.sentence


def test_a_flow_without_a_reference_to_hold_it_against_is_refused():
    with pytest.raises(ValueError, match="reference_s must be above 0"):
        check({"flow": flow(50, reference=0.0)})
