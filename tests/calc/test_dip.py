"""The dip check: rules of the product's own design, moments and readings invented."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from buckets.calc.dip import Facts, SgReading, dip_check

NOW = datetime(2026, 4, 8, 12, 0, tzinfo=UTC)
U = 0.0044  # 100 mL cylinder and a 0.1 g scale
WINDOW = {"target": 1.45, "half_window": 0.02}


def ago(**how):
    return NOW - timedelta(**how)


def read(sg, u=U, **how):
    return SgReading(sg=sg, u=u, at=ago(**how))


FIT = Facts(state="in use", technician=read(1.452, days=1), stirred_at=ago(minutes=1), volume_l=8.0, **WINDOW)


def check(**facts):
    return dip_check(facts=replace(FIT, **facts), now=NOW)


def answer_of(**facts):
    return check(**facts).answer


def codes(**facts):
    return [reason.code for reason in check(**facts).reasons]


TABLE = [
    # (facts that differ from a fit bucket, answer, codes of the reasons)
    ({}, "dip", ["inside", "stirred"]),
    ({"stirred_at": ago(minutes=4, seconds=59)}, "dip", ["inside", "stirred"]),
    ({"stirred_at": ago(minutes=5)}, "stir first", ["not stirred", "inside"]),
    ({"stirred_at": None}, "stir first", ["not stirred", "inside"]),
    ({"stirred_at": ago(minutes=8), "settles_min": 10}, "dip", ["inside", "stirred"]),
    ({"stirred_at": ago(minutes=-3)}, "dip", ["inside", "stirred"]),  # a clock that is a little ahead
    ({"stirred_at": ago(hours=-3)}, "stir first", ["not stirred", "inside"]),  # a wrong clock is no fact
    # the technician's reading
    ({"technician": None}, "measure first", ["no reading"]),
    ({"technician": None, "stirred_at": None}, "measure first", ["no reading", "not stirred"]),
    ({"technician": read(1.45, days=6, hours=23)}, "dip", ["inside", "stirred"]),
    ({"technician": read(1.45, days=7)}, "measure first", ["too old"]),
    ({"technician": read(1.45, days=9)}, "measure first", ["too old"]),
    ({"technician": read(1.45, days=9), "technician_valid_days": 14}, "dip", ["inside", "stirred"]),
    ({"technician": read(1.465, days=1)}, "measure first", ["undecided"]),
    ({"technician": read(1.45, u=None, days=1)}, "measure first", ["not known how well"]),
    ({"technician": read(1.45, days=-1)}, "measure first", ["ahead"]),
    ({"technician": read(1.52, days=1)}, "do not use", ["outside"]),
    ({"technician": read(1.40, days=1)}, "do not use", ["outside"]),
    ({"technician": read(1.52, days=30)}, "do not use", ["outside"]),  # age does not mend it
    # a member's reading
    ({"technician": None, "member": read(1.45, days=1)}, "dip", ["inside", "stirred"]),
    ({"technician": None, "member": read(1.45, days=2)}, "measure first", ["too old"]),
    ({"technician": None, "member": read(1.465, days=1)}, "measure first", ["undecided"]),
    ({"technician": None, "member": read(1.52, days=1)}, "measure first", ["member outside"]),
    ({"technician": read(1.45, days=9), "member": read(1.45, hours=1)}, "dip", ["inside", "stirred"]),
    (
        {"technician": read(1.52, days=1), "member": read(1.45, hours=1)},
        "measure first",
        ["readings disagree"],
    ),
    ({"technician": read(1.465, days=1), "member": read(1.45, hours=1)}, "dip", ["inside", "stirred"]),
    ({"technician": read(1.52, days=4), "member": read(1.45, days=2)}, "do not use", ["outside"]),
    ({"technician": read(1.45, days=4), "member": read(1.45, days=3)}, "dip", ["inside", "stirred"]),
    ({"member": read(1.465, hours=1)}, "dip", ["inside", "stirred"]),  # undecided changes nothing
    ({"member": read(1.52, hours=1)}, "measure first", ["member outside"]),
    ({"technician": read(1.45, days=5), "member": read(1.52, days=4)}, "measure first", ["member outside"]),
    ({"technician": read(1.45, hours=1), "member": read(1.52, hours=2)}, "dip", ["inside", "stirred"]),
    ({"technician": read(1.52, hours=1), "member": read(1.45, hours=2)}, "do not use", ["outside"]),
    ({"technician": read(1.52, hours=2), "member": read(1.53, hours=1)}, "do not use", ["outside"]),
    ({"technician": read(1.52, hours=1), "member": read(1.45, hours=1)}, "do not use", ["outside"]),
    # no window
    ({"half_window": None}, "dip", ["no window", "stirred"]),
    ({"target": None}, "dip", ["no window", "stirred"]),
    ({"half_window": None, "technician": read(1.9, days=1)}, "dip", ["no window", "stirred"]),
    ({"half_window": None, "technician": read(1.45, days=8)}, "measure first", ["too old"]),
    ({"half_window": None, "technician": None}, "measure first", ["no reading"]),
    # what forbids dipping whatever the readings say
    ({"state": "testing"}, "do not use", ["testing"]),
    ({"state": "emptied"}, "do not use", ["emptied"]),
    ({"held_reason": "a brush was in it"}, "do not use", ["held"]),
    ({"held_reason": ""}, "do not use", ["held"]),
    ({"volume_l": 0.0}, "do not use", ["nothing left"]),
    ({"volume_l": None}, "dip", ["inside", "stirred"]),
    ({"state": "testing", "held_reason": "crumbs", "stirred_at": None}, "do not use", ["held", "testing"]),
    ({"held_reason": "crumbs", "technician": read(1.52, days=1)}, "do not use", ["held", "outside"]),
    ({"held_reason": "crumbs", "technician": None}, "do not use", ["held"]),
]


@pytest.mark.parametrize(("facts", "answer", "reasons"), TABLE, ids=range(len(TABLE)))
def test_the_answer_and_its_reasons(facts, answer, reasons):
    assert answer_of(**facts) == answer
    assert codes(**facts) == reasons


def test_dip_holds_until_it_settles_or_the_reading_gets_too_old_whichever_is_first():
    assert check().holds_until == ago(minutes=1) + timedelta(minutes=5)
    nearly_old = read(1.45, days=6, hours=23, minutes=59)
    assert check(technician=nearly_old).holds_until == NOW + timedelta(minutes=1)


def test_stir_first_holds_until_the_reading_gets_too_old_and_the_others_hold_no_time():
    assert check(stirred_at=None).holds_until == ago(days=1) + timedelta(days=7)
    assert check(technician=None).holds_until is None
    assert check(state="testing").holds_until is None


def test_of_two_readings_that_count_the_later_end_holds():
    found = check(technician=read(1.45, days=1), member=read(1.451, hours=1), stirred_at=None)
    assert (found.by, found.reading.sg) == ("member", 1.451)
    assert found.readings_until == ago(days=1) + timedelta(days=7)


def test_a_members_reading_counts_for_two_days():
    # day_in_the_room B3: fit by a member's reading, expires after 2 days
    found = check(technician=read(1.459, days=9), member=read(1.45, hours=1), stirred_at=None)
    assert found.holds_until == ago(hours=1) + timedelta(days=2)
    assert "as a member read it" in found.reasons[1].sentence


def test_the_age_is_of_the_reading_the_answer_rests_on():
    assert check().age_s == 86400
    found = check(technician=read(1.52, days=2), member=read(1.465, hours=1))
    assert (found.answer, found.by, found.age_s) == ("do not use", "technician", 2 * 86400)
    found = check(technician=read(1.45, days=2), member=read(1.52, hours=1))
    assert (found.answer, found.by, found.age_s) == ("measure first", "member", 3600)
    assert check(technician=None).age_s is None


def test_an_outside_reading_says_which_way():
    thick, thin = check(technician=read(1.52, days=1)), check(technician=read(1.40, days=1))
    assert thick.reasons[0].sentence == "SG 1.520 is outside 1.450 ± 0.020: too thick."
    assert thin.reasons[0].sentence == "SG 1.400 is outside 1.450 ± 0.020: too thin."


@pytest.mark.parametrize("facts", [facts for facts, _, _ in TABLE])
def test_sentences_end_like_sentences_and_carry_neither_the_held_reason_nor_a_clock_time(facts):
    for reason in check(**facts).reasons:
        assert reason.sentence.endswith(".")
        assert not (facts.get("held_reason") and facts["held_reason"] in reason.sentence)
        assert "2026" not in reason.sentence
        assert "12:0" not in reason.sentence


@pytest.mark.parametrize("name", ["technician_valid_days", "heavy_use_valid_days", "settles_min"])
def test_a_validity_that_is_not_above_nought_is_refused(name):
    with pytest.raises(ValueError, match=f"{name} must be above 0, got 0"):
        check(**{name: 0})
