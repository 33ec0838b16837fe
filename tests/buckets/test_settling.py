"""How fast a glaze settles, seen once: kept with the fill, started from by the next, taken back."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from buckets.models import Settling
from buckets.operations import care
from buckets.operations.fills import empty_fill
from buckets.operations.readings import record_reading
from buckets.operations.settling import observe_settling, take_back_settling
from buckets.queries import dip_check_of, fill_in
from studio.errors import Refused
from studio.people.models import Entry
from studio.room import policy
from studio.room.operations.policy import set_policy
from tests.buckets.rows import DAY, found, in_use

pytestmark = pytest.mark.django_db


def layer(fill, by, clear_mm="8", minutes="10", **said):
    return observe_settling(
        fill=fill, kind="clear layer", clear_mm=Decimal(clear_mm), minutes=Decimal(minutes),
        sg=Decimal("1.45"), by=by, **said,
    )  # fmt: skip


def sample(fill, by, top_sg="1.374", minutes="5", **said):
    return observe_settling(
        fill=fill, kind="top sample", top_sg=Decimal(top_sg), minutes=Decimal(minutes), sg=Decimal("1.45"),
        by=by, **said,
    )  # fmt: skip


def now_of(code="B02"):
    return fill_in(code)


def test_a_clear_layer_gives_the_minutes_until_the_studios_layer_stands(technician):
    # slurry_checks.json i12: 8 mm in 10 min; the rule of 5 mm is common practice, no source
    row = layer(in_use(), technician, raw="8 mm in 10 min")
    assert (row.settles_min, row.raw, row.top_sg) == (Decimal("6.3"), "8 mm in 10 min", None)
    assert now_of().settles_min == Decimal("6.3")


def test_a_sample_from_dip_depth_gives_the_minutes_until_a_tenth_has_gone(technician):
    # slurry_checks.json i10: 16.8 % of the solids gone after 5 min, 1.450 to 1.374; t = 5 x 0.10 / 0.1689
    row = sample(in_use(), technician)
    assert row.settles_min == Decimal("3.0")
    assert row.clear_mm is None


def test_the_rules_of_the_studio_decide_how_much_is_too_much(technician, manager):
    set_policy(name="settling_loss_pct", value=Decimal(20), by=manager)
    set_policy(name="settling_clear_mm", value=Decimal(4), by=manager)
    fill = in_use()
    assert sample(fill, technician).settles_min == Decimal("5.9")
    assert layer(fill, technician).settles_min == Decimal("5.0")


def test_the_dip_check_holds_as_long_as_the_glaze_was_seen_to(technician):
    fill = in_use()
    record_reading(fill=fill, by=technician, sg=Decimal("1.45"), u_sg=Decimal("0.002"))
    row = care.stir(fill=fill, by=technician)
    layer(fill, technician, clear_mm="5", minutes="20")
    check = dip_check_of(now_of(), timezone.now(), policy.in_force())
    assert check.holds_until == row.at + timedelta(minutes=20)


def test_without_an_sg_it_is_the_technicians_last_reading(technician):
    fill = in_use()
    record_reading(fill=fill, by=technician, sg=Decimal("1.46"), u_sg=Decimal("0.002"))
    row = observe_settling(
        fill=fill, kind="clear layer", clear_mm=Decimal(4), minutes=Decimal(10), by=technician
    )
    assert row.sg == Decimal("1.46")


def test_minutes_stay_between_one_and_four_hours(technician):
    fill = in_use()
    assert layer(fill, technician, clear_mm="400", minutes="1").settles_min == Decimal(1)
    assert layer(fill, technician, clear_mm="0.1", minutes="1440").settles_min == Decimal(240)


def test_the_next_fill_of_the_recipe_starts_from_it_and_no_other_glaze_does(technician):
    layer(in_use("B02", at=timezone.now() - 3 * DAY), technician, at=timezone.now() - 2 * DAY)
    assert found("B03", at=timezone.now() - DAY).settles_min == Decimal("6.3")
    assert found("B04", glaze="Another", at=timezone.now() - DAY).settles_min is None


def test_a_fill_poured_before_it_was_seen_keeps_its_own(technician):
    earlier = found("B03", at=timezone.now() - 5 * DAY)
    layer(in_use("B02", at=timezone.now() - 3 * DAY), technician)
    earlier.refresh_from_db()
    assert earlier.settles_min is None


def test_the_newest_look_counts_and_taking_it_back_lets_the_one_before_count(technician):
    fill = in_use()
    layer(fill, technician, at=timezone.now() - timedelta(hours=2))
    later = sample(fill, technician)
    assert now_of().settles_min == Decimal("3.0")
    take_back_settling(settling=later, reason="the jar was not stirred", by=technician)
    assert now_of().settles_min == Decimal("6.3")
    first = Settling.objects.filter(reverses=None).earliest("at")
    take_back_settling(settling=first, reason="wrong jar", by=technician)
    assert now_of().settles_min is None


def test_it_is_taken_back_once_and_with_a_reason(technician):
    row = layer(in_use(), technician)
    with pytest.raises(Refused, match="Say what was wrong"):
        take_back_settling(settling=row, reason=" ", by=technician)
    take_back_settling(settling=row, reason="wrong jar", by=technician)
    with pytest.raises(Refused):
        take_back_settling(settling=row, reason="wrong jar", by=technician)


def test_the_same_key_twice_is_one_row(technician):
    fill, key = in_use(), uuid4()
    assert layer(fill, technician, key=key) == layer(fill, technician, key=key)
    assert fill.settlings.count() == 1


@pytest.mark.parametrize(
    ("change", "field", "sentence"),
    [
        ({"minutes": "0"}, "minutes", "How long did it stand"),
        ({"minutes": "1441"}, "minutes", "at most a day"),
        ({"clear_mm": "0"}, "clear_mm", "None yet: wait longer"),
        ({"clear_mm": "-1"}, "clear_mm", "None yet: wait longer"),
    ],
)
def test_a_layer_that_says_nothing_is_refused_and_nothing_is_written(technician, change, field, sentence):
    fill, before = in_use(), Entry.objects.count
    was = before()
    with pytest.raises(Refused, match=sentence) as refused:
        layer(fill, technician, **change)
    assert refused.value.field == field
    assert (fill.settlings.count(), before() - was) == (0, 0)


@pytest.mark.parametrize(
    ("top_sg", "sentence"),
    [
        ("1.45", "nothing has settled yet"),
        ("1.46", "nothing has settled yet"),
        ("1.2", "More than half"),
        ("0.9", "lighter than water"),
    ],
)
def test_a_sample_that_says_nothing_is_refused(technician, top_sg, sentence):
    fill = in_use()
    with pytest.raises(Refused, match=sentence):
        sample(fill, technician, top_sg=top_sg)
    assert fill.settlings.count() == 0


def test_a_fill_never_measured_has_to_be_told_its_sg(technician):
    with pytest.raises(Refused, match="How dense was it when stirred"):
        observe_settling(
            fill=in_use(), kind="clear layer", clear_mm=Decimal(4), minutes=Decimal(10), by=technician
        )


def test_a_member_is_refused_by_the_right_that_is_missing(member, technician):
    with pytest.raises(Refused, match="wet mixing"):
        layer(in_use(), member)


def test_a_fill_that_has_left_its_bucket_is_refused(technician):
    fill = in_use()
    empty_fill(fill=fill, why="to the reclaim bucket", by=technician)
    with pytest.raises(Refused):
        layer(fill, technician)
