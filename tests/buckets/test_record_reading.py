"""A reading of a bucket. Figures of scenario A2, A8 and B of day_in_the_room.md, by script there."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from buckets.models import Reading
from buckets.operations.readings import record_reading, take_back_reading
from buckets.queries import dip_check_of, fill_in
from studio.errors import KeyUsedOtherwise, NotAllowed, Refused
from studio.room import policy
from studio.room.measuring import verdict_of
from tests.buckets.rows import fine_scale, flask, in_use

pytestmark = pytest.mark.django_db


def a2(fill, by, **more):
    """A2: vessel 99.8 mL (+- 0.2), tare 58.2 g, gross 209.9 g on the 0.1 g scale."""
    return record_reading(
        fill=fill, by=by, gross_g=Decimal("209.9"), glass=flask(), scale=fine_scale(), **more
    )


def test_a_weighed_volume_is_the_gravity_with_its_doubt_as_in_scenario_a2(technician):
    reading = a2(in_use(), technician, raw="gross_g=209,9")
    assert reading.sg == Decimal("1.5200")
    assert 2 * float(reading.u_sg) == pytest.approx(0.0039, abs=0.0001)
    verdict = verdict_of(
        sg=reading.sg, u_sg=reading.u_sg, target=Decimal("1.45"), half_window=Decimal("0.02")
    )
    assert (verdict.word, round(verdict.difference, 3)) == ("outside", 0.07)
    assert (reading.tare_g, reading.raw) == (Decimal("58.2"), "gross_g=209,9")
    fill = fill_in("B02")
    assert dip_check_of(fill, timezone.now(), policy.in_force()).answer == "do not use"


def test_a_depth_restates_the_litres_as_in_scenario_a1(technician):
    fill = in_use()
    reading = a2(fill, technician, depth_cm=Decimal("8.0"))
    fill.refresh_from_db()
    assert reading.volume_l == fill.volume_l == pytest.approx(Decimal("4.24"), abs=Decimal("0.005"))


def test_a_typed_gravity_keeps_no_doubt(technician):
    reading = record_reading(fill=in_use(), by=technician, sg=Decimal("1.45"))
    assert (reading.u_sg, reading.method) == (None, Reading.Method.TYPED)


def test_a_members_reading_is_kept_and_never_replaces_the_technicians(technician, member):
    fill = in_use()
    check = record_reading(fill=fill, by=technician, sg=Decimal("1.459"))
    theirs = record_reading(fill=fill, by=member, sg=Decimal("1.47"))
    fill.refresh_from_db()
    assert (fill.check_reading_id, fill.member_reading_id) == (check.pk, theirs.pk)
    assert (check.is_check, theirs.is_check) == (True, False)


def test_a_helper_signed_off_for_sg_reads_for_the_studio(helper):
    assert record_reading(fill=in_use(), by=helper, sg=Decimal("1.45")).is_check


def test_a_members_reading_inside_the_window_opens_an_old_bucket_for_two_days(technician, member):
    now = timezone.now()
    fill = in_use()
    record_reading(fill=fill, by=technician, sg=Decimal("1.459"), at=now - timedelta(days=9))
    assert dip_check_of(fill_in("B02"), now, policy.in_force()).answer == "measure first"
    record_reading(fill=fill, by=member, sg=Decimal("1.452"), u_sg=Decimal("0.0034"), at=now)
    check = dip_check_of(fill_in("B02"), now, policy.in_force())
    assert (check.answer, check.by) == ("stir first", "member")
    assert check.readings_until == now + timedelta(days=2)


def test_the_same_key_twice_is_one_reading_and_another_content_is_refused(technician):
    fill, key = in_use(), uuid4()
    first = record_reading(fill=fill, by=technician, sg=Decimal("1.45"), key=key)
    assert record_reading(fill=fill, by=technician, sg=Decimal("1.45"), key=key) == first
    with pytest.raises(KeyUsedOtherwise):
        record_reading(fill=fill, by=technician, sg=Decimal("1.46"), key=key)
    assert fill.readings.filter(sg__isnull=False).count() == 1


def test_a_glass_that_weighs_something_else_is_asked_about(technician):
    fill = in_use()
    with pytest.raises(Refused, match=r"weighs 58\.2\Wg empty; 66\.3\Wg was typed"):
        a2(fill, technician, tare_g=Decimal("66.3"))
    assert a2(fill, technician, tare_g=Decimal("66.3"), tare_checked=True).tare_g == Decimal("66.3")


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"sg": Decimal("0.99")}, "between 1.00 and 2.20"),
        ({"sg": Decimal("2.21")}, "between 1.00 and 2.20"),
        ({}, "type the specific gravity"),
        ({"gross_g": Decimal("209.9")}, "Which flask"),
        ({"sg": Decimal("1.45"), "depth_cm": Decimal(58)}, "deeper than the bucket"),
        ({"sg": Decimal("1.45"), "volume_l": Decimal(21)}, "20.36"),
        ({"sg": Decimal("1.45"), "volume_l": Decimal(4), "depth_cm": Decimal(8)}, "not both"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(technician, said, sentence):
    fill = in_use()
    before = Reading.objects.count()
    with pytest.raises(Refused, match=sentence):
        record_reading(fill=fill, by=technician, **said)
    assert Reading.objects.count() == before


def test_a_time_to_come_or_before_the_fill_is_refused(technician):
    fill = in_use()
    for at in (timezone.now() + timedelta(hours=1), fill.poured_at - timedelta(seconds=1)):
        with pytest.raises(Refused):
            record_reading(fill=fill, by=technician, sg=Decimal("1.45"), at=at)


def test_taking_back_lets_the_one_before_stand_again(technician):
    fill = in_use()
    first = record_reading(fill=fill, by=technician, sg=Decimal("1.45"), volume_l=Decimal(7))
    wrong = record_reading(fill=fill, by=technician, sg=Decimal("1.60"), volume_l=Decimal(3))
    row = take_back_reading(reading=wrong, reason="other bucket", by=technician)
    fill.refresh_from_db()
    assert (fill.check_reading, fill.volume_l) == (first, Decimal(7))
    assert (row.replaces, row.sg, row.note) == (wrong, None, "other bucket")
    wrong.refresh_from_db()
    assert wrong.sg == Decimal("1.6")


def test_a_reading_is_taken_back_once_and_a_taking_back_never(technician):
    reading = record_reading(fill=in_use(), by=technician, sg=Decimal("1.45"))
    back = take_back_reading(reading=reading, reason="slip", by=technician)
    for row in (reading, back):
        with pytest.raises(Refused, match="already taken back"):
            take_back_reading(reading=row, reason="again", by=technician)


def test_a_member_takes_back_their_own_on_the_same_day_only(technician, member, helper):
    now = timezone.now()
    fill = in_use()
    own = record_reading(fill=fill, by=member, sg=Decimal("1.45"), at=now - timedelta(hours=1))
    theirs = record_reading(fill=fill, by=helper, sg=Decimal("1.45"))
    with pytest.raises(NotAllowed, match="only a technician"):
        take_back_reading(reading=theirs, reason="no", by=member)
    assert take_back_reading(reading=own, reason="slip", by=member)


def test_yesterdays_own_reading_is_the_technicians_to_take_back(member, technician, time_machine):
    time_machine.move_to("2026-04-08 12:00Z")
    fill = in_use()
    own = record_reading(fill=fill, by=member, sg=Decimal("1.45"))
    time_machine.move_to("2026-04-09 08:00Z")
    with pytest.raises(NotAllowed):
        take_back_reading(reading=own, reason="slip", by=member)
    assert take_back_reading(reading=own, reason="slip", by=technician)
