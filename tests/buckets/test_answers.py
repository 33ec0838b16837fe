"""The dip check in words: who, how old, until when. Sentences name people only to those signed in."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from buckets.answers import answer_of
from buckets.operations import care
from buckets.operations.holding import hold_fill
from buckets.operations.readings import record_reading
from buckets.queries import dip_check_of, fill_in
from studio.room import policy
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
