"""Intervals between a technician's readings: what was expected, what came, kept in step whatever is done.

Figures are made up unless a source is named.
"""

from decimal import Decimal
from operator import attrgetter

import pytest
from django.db import transaction
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buckets.apps import tell_intervals
from buckets.calc.history import Told
from buckets.happenings import told_anew
from buckets.models import Fill, Interval
from buckets.operations import care, intervals, readings
from studio.quantities import rounded
from tests.buckets.rows import DAY, HOUR, in_use
from tests.buckets.test_standing_laws import ACTS, do
from tests.factories import bram, person

pytestmark = pytest.mark.django_db
LAWS = settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])


def read(fill, sg, at, *, by=None, litres=None):
    volume_l = None if litres is None else Decimal(litres)
    return readings.record_reading(fill=fill, sg=Decimal(sg), volume_l=volume_l, by=by or bram(), at=at)


def facts(fill):
    rows = fill.intervals.order_by("reading_id")
    return [{name: getattr(row, name) for name in intervals.FACTS} | {"to": row.reading_id} for row in rows]


def anew(fill):
    for pk, told in told_anew():
        if pk == fill.pk:
            return [
                {n: one.since if n == "since_id" else getattr(one, n) for n in intervals.FACTS}
                | {"to": one.reading}
                for one in sorted(told.intervals, key=attrgetter("reading"))
            ]
    return []


def start():
    return timezone.now().replace(microsecond=0) - 20 * DAY


def test_logged_water_is_expected_and_what_is_left_over_is_the_residual():
    fill, at = in_use(litres="10"), start()
    read(fill, "1.50", at, litres="10")
    care.water_in(fill=fill, volume_l=Decimal(1), by=bram(), at=at + DAY)
    read(fill, "1.46", at + 2 * DAY)
    (row,) = fill.intervals.all()
    # (1.50 x 10 + 1) / 11 = 1.4545: masses and volumes add up
    assert row.predicted_sg == Decimal("1.4545")
    assert row.residual == Decimal("0.0055")
    assert row.begins_segment
    assert (row.added_l, row.added_g) == (Decimal(1), Decimal(1000))
    assert [(entry["what"], entry["l"]) for entry in row.logged] == [("water in", "1.000")]


def test_what_is_used_leaves_the_sg_as_it_was():
    fill, at = in_use(litres="10"), start()
    read(fill, "1.50", at)
    care.log_use(fill=fill, volume_l=Decimal(4), by=bram(), at=at + DAY)
    read(fill, "1.51", at + 2 * DAY)
    (row,) = fill.intervals.all()
    assert (row.predicted_sg, row.residual, row.used_l) == (Decimal("1.5"), Decimal("0.01"), Decimal(4))
    assert not row.begins_segment
    assert row.logged == []


def test_water_after_use_goes_into_what_is_left():
    fill, at = in_use(litres="10"), start()
    read(fill, "1.50", at)
    care.log_use(fill=fill, volume_l=Decimal(5), by=bram(), at=at + HOUR)
    care.water_in(fill=fill, volume_l=Decimal(1), by=bram(), at=at + DAY)
    read(fill, "1.40", at + 2 * DAY)
    # (1.50 x 5 + 1) / 6 = 1.41667
    assert fill.intervals.get().predicted_sg == Decimal("1.4167")


def test_a_members_reading_forms_no_interval_but_its_level_counts():
    fill, at = in_use(litres="10"), start()
    read(fill, "1.50", at)
    read(fill, "1.30", at + HOUR, by=person("Ilse"), litres="5")  # unstirred: the top has settled
    care.water_in(fill=fill, volume_l=Decimal(1), by=bram(), at=at + DAY)
    read(fill, "1.42", at + 2 * DAY)
    (row,) = fill.intervals.all()
    assert row.predicted_sg == Decimal("1.4167")
    assert row.since.sg == Decimal("1.5")


def test_no_range_is_formed_across_more_than_thirty_days():
    fill = in_use(litres="10", at=timezone.now() - 60 * DAY)
    read(fill, "1.50", timezone.now() - 50 * DAY)
    read(fill, "1.58", timezone.now() - 19 * DAY)
    row = fill.intervals.get()
    assert row.predicted_sg == Decimal("1.5")
    assert row.residual is None
    fill.refresh_from_db()
    assert (fill.residual_count, fill.unexplained) == (0, None)


def test_after_a_thaw_nothing_is_expected():
    fill, at = in_use(litres="10"), start()
    read(fill, "1.50", at)
    care.thaw_fill(fill=fill, by=bram(), at=at + DAY)
    read(fill, "1.44", at + 2 * DAY)
    row = fill.intervals.get()
    assert (row.predicted_sg, row.residual, row.begins_segment) == (None, None, True)


def test_a_reading_taken_back_joins_its_neighbours_again():
    fill, at = in_use(litres="10"), start()
    read(fill, "1.50", at)
    wrong = read(fill, "1.40", at + DAY)
    read(fill, "1.51", at + 2 * DAY)
    assert fill.intervals.count() == 2
    readings.take_back_reading(reading=wrong, reason="not stirred", by=bram())
    row = fill.intervals.get()
    assert (row.since.sg, row.reading.sg) == (Decimal("1.5"), Decimal("1.51"))


def test_the_newest_reading_is_unexplained_when_it_is_beyond_the_usual():
    fill, at = in_use(litres="10"), start()
    for day, sg in enumerate(("1.450", "1.452", "1.451", "1.454", "1.453", "1.455")):
        read(fill, sg, at + day * DAY)
    fill.refresh_from_db()
    assert fill.unexplained is None
    assert (fill.residual_count, fill.residual_sum) == (5, Decimal("0.009"))
    odd = read(fill, "1.400", at + 7 * DAY)
    fill.refresh_from_db()
    # mean of 0.009 + 0.055 over 6 is 0.0107, times 3.267 is 0.035
    assert fill.unexplained == odd
    read(fill, "1.401", at + 8 * DAY)
    fill.refresh_from_db()
    assert fill.unexplained is None  # it was the newest that is asked about


def test_a_young_fill_is_asked_about_when_it_falls_and_not_when_it_rises():
    """Without five intervals of its own 3.267 x 0.010 stands in; a rise is water leaving."""
    at = start()
    falls, rises, little = in_use("B02"), in_use("B03"), in_use("B04")
    for fill, sg in ((falls, "1.417"), (rises, "1.483"), (little, "1.418")):
        read(fill, "1.450", at)
        read(fill, sg, at + DAY)
        fill.refresh_from_db()
    assert falls.unexplained is not None
    assert (rises.unexplained, little.unexplained) == (None, None)


def test_the_day_of_the_windows_edge_is_said_from_three_readings_on_that_rise():
    fill, at = in_use(litres="10"), start()  # 1.45 +- 0.02
    read(fill, "1.450", at)
    read(fill, "1.454", at + 4 * DAY)
    fill.refresh_from_db()
    assert fill.edge_at is None
    read(fill, "1.458", at + 8 * DAY)
    fill.refresh_from_db()
    assert fill.edge_at == at + 20 * DAY  # 0.001 a day; 1.470 lies 12 days on, within twice the span of 8
    care.water_in(fill=fill, volume_l=Decimal("0.3"), by=bram(), at=at + 9 * DAY)
    fill.refresh_from_db()
    assert fill.edge_at is None


def test_an_edge_further_off_than_twice_the_span_is_not_said():
    fill, at = in_use(litres="10"), start()
    for day, sg in enumerate(("1.450", "1.451", "1.452")):
        read(fill, sg, at + day * DAY)
    fill.refresh_from_db()
    assert fill.edge_at is None  # 18 days off, seen were 2


def test_an_act_touches_no_more_than_the_intervals_around_it(django_assert_max_num_queries):
    fill, at = in_use(litres="10"), start()
    for day in range(12):
        read(fill, "1.45", at + day * DAY, litres="10")
    before = {row.pk for row in fill.intervals.all()}
    with django_assert_max_num_queries(45):
        care.water_in(fill=fill, volume_l=Decimal("0.5"), by=bram(), at=at + 3 * DAY + HOUR)
    assert {row.pk for row in fill.intervals.all()} == before
    changed = [row.residual for row in fill.intervals.order_by("at")]
    assert [residual != 0 for residual in changed].count(True) == 1
    assert facts(fill) == anew(fill)


@LAWS
@given(acts=ACTS)
def test_intervals_kept_beside_are_those_of_the_whole_history(acts):
    with transaction.atomic():
        at = timezone.now() - DAY
        by, other = bram(), person("Ilse")
        fill = in_use(litres="6", at=at)
        for said in acts:
            do(fill, by, other, at, said)
        assert facts(fill) == anew(fill)
        kept = Fill.objects.get(pk=fill.pk)
        fresh = Fill.objects.get(pk=fill.pk)
        intervals.carry_from_scratch(fresh, dict(told_anew()).get(fill.pk, Told([], begun=False)), set())
        for name in intervals.KEPT:
            assert getattr(kept, name) == getattr(fresh, name), name
        transaction.set_rollback(True)


@LAWS
@given(
    told=st.permutations(
        [
            ("read", 0, "1.50"),
            ("water", 5, "0.6"),
            ("read", 10, "1.47"),
            ("use", 12, "2.5"),
            ("read", 20, "1.48"),
            ("water", 22, "0.4"),
            ("read", 30, "1.44"),
        ]
    )
)
def test_entries_told_late_lead_to_the_same_intervals_as_in_order(told):
    def run(code, order):
        at = timezone.now().replace(microsecond=0) - 20 * DAY
        fill = in_use(code, litres="10", at=at - DAY)
        for what, hours, amount in order:
            moment = at + hours * HOUR
            if what == "read":
                read(fill, amount, moment)
            elif what == "water":
                care.water_in(fill=fill, volume_l=Decimal(amount), by=bram(), at=moment)
            else:
                care.log_use(fill=fill, volume_l=Decimal(amount), by=bram(), at=moment)
        rows = fill.intervals.order_by("at")
        return list(rows.values_list("predicted_sg", "residual", "begins_segment", "used_l", "added_l"))

    with transaction.atomic():
        in_order = sorted(told, key=lambda one: one[1])
        assert run("B02", told) == run("B03", in_order)
        transaction.set_rollback(True)


@LAWS
@given(
    litres=st.decimals("4", "14", places=1),
    sg=st.decimals("1.30", "1.60", places=2),
    share=st.integers(1, 12),
)
def test_logging_the_water_that_went_in_makes_the_residual_vanish(litres, sg, share):
    with transaction.atomic():
        water_l = rounded(litres * share / 100, 3)
        after = rounded((litres * sg + water_l) / (litres + water_l), 4)
        at = timezone.now() - 5 * DAY
        fill = in_use(litres=str(litres), at=at - HOUR)
        read(fill, str(sg), at)
        read(fill, str(after), at + 2 * DAY)
        assert fill.intervals.get().residual == after - sg
        care.water_in(fill=fill, volume_l=water_l, by=bram(), at=at + DAY)
        assert fill.intervals.get().residual == 0
        transaction.set_rollback(True)


def test_a_studio_from_before_intervals_were_kept_gets_them_with_its_migration(technician):
    fill = in_use()
    for days, sg in ((3, "1.440"), (2, "1.444"), (1, "1.447")):
        read(fill, sg, timezone.now() - days * DAY, by=technician)
    told = list(fill.intervals.values_list("reading", "residual"))
    Interval.objects.all().delete()
    Fill.objects.update(residual_count=0, residual_sum=0)
    tell_intervals()
    assert list(fill.intervals.values_list("reading", "residual")) == told
    assert len(told) == 2
    fill.refresh_from_db()
    assert fill.residual_count == 2
