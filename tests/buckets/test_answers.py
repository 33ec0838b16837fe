"""The dip check in words: who, how old, until when. Sentences name people only to those signed in."""

import re
from datetime import timedelta
from decimal import Decimal
from typing import get_args

import pytest
from django.db import transaction
from django.utils import timezone

from buckets.answers import answer_of
from buckets.calc.dip_facts import Code
from buckets.models import Flow
from buckets.operations import care
from buckets.operations.fills import empty_fill
from buckets.operations.holding import hold_fill
from buckets.operations.readings import record_reading
from buckets.queries import dip_check_of, fill_in
from studio.room import policy
from studio.room.models import Vessel
from tests.buckets.rows import DAY, fine_scale, flask, found, in_use

pytestmark = pytest.mark.django_db


def said(code="B02", *, names=True, now=None):
    fill, rules = fill_in(code), policy.in_force()
    now = now or timezone.now()
    return answer_of(fill, dip_check_of(fill, now, rules), now, rules, names=names)


def measured(fill, by, sg="1.45", u="0.002", **more):
    return record_reading(fill=fill, by=by, sg=Decimal(sg), u_sg=Decimal(u), **more)


def test_dip_says_the_reading_who_stirred_and_until_when(technician, member):
    fill = in_use()
    measured(fill, technician)
    row = care.stir(fill=fill, by=member)
    answer = said()
    assert answer.title == "Dip"
    assert answer.sentence == (
        "SG 1.450, measured just now by Bram, is inside 1.430 to 1.470; stirred just now by Ilse."
    )
    assert answer.until == row.at + timedelta(minutes=5)


def test_names_are_hidden_from_strangers(technician, member):
    fill = in_use()
    measured(fill, member)
    care.stir(fill=fill, by=member)
    sentence = said(names=False).sentence
    assert "Ilse" not in sentence
    assert "stirred just now by a member" in sentence


def test_stir_first_says_who_stirred_last_and_how_fast_it_settles(technician, member):
    fill = in_use()
    measured(fill, technician)
    now = timezone.now()
    care.stir(fill=fill, by=member, at=now - timedelta(minutes=26))
    answer = said(now=now)
    assert answer.title == "Stir first"
    assert answer.sentence.replace("\xa0", " ") == (
        "Last stirred 26 min ago by Ilse; this glaze settles in about 5 min. Down to the floor."
    )
    assert answer.until is None


def test_an_old_reading_is_named_with_its_age_and_the_studios_rule(technician):
    now = timezone.now()
    fill = in_use()
    measured(fill, technician, "1.459", at=now - 9 * DAY)
    assert said(now=now).sentence.replace("\xa0", " ") == (
        "The last reading, 1.459, is 9 days old; this studio trusts a technician’s for 7 days. "
        "Stir, then take a reading."
    )


def test_undecided_says_what_is_likely_as_in_scenario_b2(technician):
    # B2: cylinder 100 mL +- 0.50, 66.3 g, filled 213.8 g: 1.475, U 0.0087, chance inside 88 %
    fill = in_use("B09", glaze="Peat Pool", target_sg=Decimal("1.46"))
    cylinder = flask("Cylinder", "100", "0.50", "66.3")
    record_reading(fill=fill, by=technician, gross_g=Decimal("213.8"), glass=cylinder, scale=fine_scale())
    sentence = said("B09").sentence.replace("\xa0", " ")
    assert "probably inside 1.440 to 1.480 (chance inside 88 %)" in sentence


def test_outside_says_which_way(technician):
    fill = in_use()
    measured(fill, technician, "1.52")
    assert said().sentence.endswith("is outside 1.430 to 1.470: too thick.")
    measured(fill, technician, "1.40")
    assert said().sentence.endswith("is outside 1.430 to 1.470: too thin.")


def test_a_hold_comes_first_and_testing_stands_behind_it(technician):
    fill = found()
    hold_fill(fill=fill, reason="blue specks", by=technician)
    answer = said()
    assert answer.sentence.endswith("blue specks.")
    assert answer.reasons == [
        "Taken over with its history unknown, so it is in testing until a technician releases it."
    ]


# --- at most two sentences, whatever is so

STATES = {
    "held": {"held": "blue specks"},
    "held and too thick": {"held": "blue specks", "sg": "1.52"},
    "held, in testing, too thin": {"held": "blue specks", "state": "testing", "sg": "1.40"},
    "testing": {"state": "testing"},
    "testing, history unknown": {"state": "testing", "unknown": True},
    "nothing left": {"volume_l": "0"},
    "emptied": {"state": "emptied"},
    "too thick": {"sg": "1.52"},
    "too thin and unexplained": {"sg": "1.40", "unexplained": True},
    "unexplained": {"unexplained": True},
    "unexplained, too old, flow off": {"unexplained": True, "days": 9, "flow": "70"},
    "no reading": {"sg": None},
    "too old": {"days": 9},
    "member too old": {"days": 3, "member": True},
    "used since": {"days": 3, "volume_l": "4"},
    "undecided": {"sg": "1.466", "u": "0.0044"},
    "probably outside": {"sg": "1.475", "u": "0.0044"},
    "member outside": {"member": "1.52"},
    "member probably outside": {"member": "1.475"},
    "readings disagree": {"sg": "1.52", "member": "1.45"},
    "flow slow": {"flow": "70"},
    "flow fast": {"flow": "30"},
    "not stirred": {"stirred": 20},
    "never stirred": {"stirred": None},
    "not stirred, shallow": {"stirred": 20, "volume_l": "4.5"},
    "dip": {},
    "dip, shallow": {"volume_l": "4.5"},
    "dip, no window": {"window": None},
    "water in": {"change": "water in"},
    "powder in": {"change": "powder in"},
    "water off": {"change": "water off"},
    "additive in": {"change": "additive in"},
    "topped up": {"change": "topped up"},
    "thawed": {"change": "thawed"},
    "a time still to come": {"days": -1},
}
# a note, not a reason; and a reading without its doubt counts as ±0.01 on every page
BESIDE = {"shallow", "not known how well"}
END = re.compile(r"[.!?](?=\s|$)")


def sentences_in(answer):
    """How many a person reads in the panel; "holds until" is one, an abbreviation with its number is none."""
    said = [answer.sentence, *answer.reasons]
    return sum(len(END.findall(text)) for text in said) + (answer.until is not None)


def as_is(by, other, said):
    """A fill as the page reads it: rows are written by the acts, what no act writes yet is set beside."""
    now = timezone.now()
    fill = in_use(litres="8")
    if said.get("sg", "1.45") is not None:
        days = said.get("days", 1)
        reader = other if said.get("member") is True else by
        at = now - max(days, 0) * DAY
        row = record_reading(
            fill=fill, by=reader, sg=Decimal(said.get("sg", "1.45")), u_sg=Decimal(said.get("u", "0.002")),
            volume_l=Decimal(8), at=at,
        )  # fmt: skip
    if isinstance(said.get("member"), str):
        measured(fill, other, said["member"], "0.0044", at=now - DAY / 4)
    fill = fill_in("B02")
    for reading in (fill.check_reading, fill.member_reading):
        if reading and said.get("days", 1) < 0:
            reading.at = now + DAY
    fill.stirred_at = (
        None if said.get("stirred", 1) is None else now - timedelta(minutes=said.get("stirred", 1))
    )
    fill.stirred_by = other
    fill.state = said.get("state", fill.state)
    fill.history_unknown = bool(said.get("unknown"))
    fill.volume_l = Decimal(said.get("volume_l", "8"))
    fill.change = said.get("change")
    fill.changed_at = now - DAY / 8 if fill.change else None
    if said.get("window", True) is None:
        fill.half_window = None
    if said.get("held"):
        fill.held_at, fill.held_reason = now - DAY, said["held"]
    if said.get("unexplained"):
        fill.unexplained_id = row.pk
    if said.get("flow"):
        fill.flow_reference = Flow(seconds=Decimal(50), cup_id=1, at=now - 3 * DAY)
        fill.flow = Flow(seconds=Decimal(said["flow"]), cup_id=1, at=now - DAY)
    rules = policy.in_force()
    check = dip_check_of(fill, now, rules)
    return check, answer_of(fill, check, now, rules)


@pytest.mark.parametrize("state", STATES)
def test_a_member_reads_at_most_two_sentences(technician, member, state):
    check, answer = as_is(technician, member, STATES[state])
    assert 1 <= sentences_in(answer) <= 2, [answer.sentence, *answer.reasons]
    assert answer.answer == check.answer
    assert answer.sentence[0].isupper()
    assert answer.sentence.endswith(".")


def test_the_two_sentences_were_counted_for_every_reason_there_is(technician, member):
    with transaction.atomic():
        seen = set()
        for said in STATES.values():
            mark = transaction.savepoint()
            seen |= {reason.code for reason in as_is(technician, member, said)[0].reasons}
            transaction.savepoint_rollback(mark)
    assert set(get_args(Code)) - seen == BESIDE


def test_what_does_not_fit_in_two_sentences_stands_below(technician, member):
    _, answer = as_is(technician, member, STATES["held, in testing, too thin"])
    assert len(answer.more) >= 1
    assert any("too thin" in sentence for sentence in answer.more)


def test_a_shallow_bucket_says_pour_or_brush_and_keeps_its_answer(technician, member):
    check, answer = as_is(technician, member, STATES["dip, shallow"])
    assert (check.answer, answer.title) == ("dip", "Pour or brush")
    assert "too shallow to dip" in answer.sentence
    _, answer = as_is_again("not stirred, shallow", technician, member)
    assert "pour or brush" in f"{answer.sentence} {answer.reasons}"


def as_is_again(state, technician, member):
    empty_fill(fill=fill_in("B02"), why="to the reclaim bucket", by=technician)
    Vessel.objects.filter(code="B02").update(code="B02x")
    return as_is(technician, member, STATES[state])


def test_a_surprise_asks_for_its_cause(technician, member):
    _, answer = as_is(technician, member, STATES["unexplained"])
    assert "was not to be expected, and nobody has said why" in answer.sentence
    assert answer.sentence.endswith("Find the cause before dipping.")


def test_the_flow_says_which_side_it_is_off(technician, member):
    _, answer = as_is(technician, member, STATES["flow slow"])
    assert "coats come out too thick" in answer.sentence
    assert "70\xa0s through the flow cup where 50\xa0s is usual" in answer.sentence
