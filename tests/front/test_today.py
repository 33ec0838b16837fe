"""Today: what hurts first stands on top, each line opens the act that clears it, and it stays cheap."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from buckets.days_left import left_in
from buckets.models import Fill
from buckets.operations.care import log_use, loosen, stir
from buckets.operations.holding import hold_fill
from buckets.operations.readings import record_reading
from buckets.operations.reports import report
from buckets.operations.rounds import begin_round, stop_at
from studio.front.due import due
from studio.people.models import Member
from studio.room import policy
from studio.room.models import Glass
from studio.room.steps import progress
from tests.buckets.rows import DAY, found, gannet, in_use
from tests.factories import GlassFactory, LotFactory

pytestmark = pytest.mark.django_db


def lines():
    return due(timezone.now(), progress())


def line(words):
    found_ = [row for row in lines() if words in row.what]
    assert len(found_) == 1, [row.what for row in lines()]
    return found_[0]


def read(fill: Fill, sg: str, by: Member, *, days: float = 0, litres: str | None = None):
    return record_reading(
        fill=fill,
        sg=Decimal(sg),
        u_sg=Decimal("0.002"),
        volume_l=Decimal(litres) if litres else None,
        by=by,
        at=timezone.now() - timedelta(days=days),
    )


def test_what_hurts_first_stands_on_top(technician):
    reported, held, outside, old = in_use("B01"), in_use("B02"), in_use("B03"), in_use("B04")
    report(fill=reported, words="blue specks", by=None)
    hold_fill(fill=held, reason="brush in it", by=technician)
    read(outside, "1.52", technician)
    read(old, "1.45", technician, days=9)
    order = [row.what[:3] for row in lines() if row.what[:1] == "B"]
    assert order == ["B01", "B02", "B03", "B04"]


def test_each_line_opens_the_act_that_clears_it(technician):
    held, outside, old = in_use("B02"), in_use("B03"), in_use("B04")
    hold_fill(fill=held, reason="brush in it", by=technician)
    read(outside, "1.52", technician)
    read(old, "1.45", technician, days=9)
    found("B05", recipe=gannet())
    assert line("B02 Gannet White").address == reverse("lift-hold", args=["B02"])
    assert line("B03 Gannet White").address == reverse("water-in", args=["B03"])
    assert line("B04 Gannet White").address == reverse("record-reading", args=["B04"])
    assert line("B05 Gannet White").address == reverse("release-fill", args=["B05"])


def test_a_reading_that_nobody_can_explain_is_told_before_one_that_is_only_outside(technician):
    fill, outside = in_use("B04", litres="12", at=timezone.now() - 60 * DAY), in_use("B03")
    read(outside, "1.52", technician)
    for week, sg in enumerate(("1.440", "1.442", "1.441", "1.443", "1.442", "1.441", "1.394")):
        read(fill, sg, technician, days=42 - 7 * week)
    found_ = line("B04 Gannet White: find the cause")
    assert found_.urgency < line("B03 Gannet White").urgency


def test_a_bucket_that_drifts_to_its_edge_within_a_week_is_told(technician):
    slow, fast = in_use("B05", at=timezone.now() - 60 * DAY), in_use("B06", at=timezone.now() - 60 * DAY)
    for week in range(5):
        read(slow, f"{1.450 + 0.002 * week:.3f}", technician, days=28 - 7 * week)
        read(fast, f"{1.442 + 0.006 * week:.3f}", technician, days=28 - 7 * week)
    # 0.006 a week from 1.466: the edge, 1.470, is reached in 4.7 days; at 0.002 a week in 42
    assert line("drifting").what == "B06 Gannet White: drifting"
    assert line("drifting").address == reverse("water-in", args=["B06"])


def test_a_low_bucket_tells_how_many_days_are_left_from_what_really_goes(technician):
    # B01 and B03 of demo_studio.md: 0 days and 24 days, from levels and gravities of six weeks
    b01 = ("11.82 1.453", "10.40 1.455", "9.29 1.458", "8.08 1.451", "6.33 1.454", "5.06 1.461")
    b03 = ("12.60 1.442", "11.76 1.446", "10.93 1.448", "9.99 1.449", "9.00 1.448", "8.20 1.451")
    start = timezone.now() - timedelta(days=35, minutes=5)
    for code, rows in (("B01", b01), ("B03", b03)):
        fill = in_use(code, litres=rows[0].split()[0], at=start - DAY)
        for week, row in enumerate(rows):
            litres, sg = row.split()
            read(fill, sg, technician, days=35 - 7 * week, litres=litres)
    fills = list(Fill.objects.filter(emptied_at=None).select_related("vessel").order_by("vessel__code"))
    left = [left_in(fills, timezone.now(), policy.in_force())[fill.pk] for fill in fills]
    assert [round(row.keep_l, 2) for row in left] == [5.33, 5.33]
    assert [round(row.days) for row in left] == [0, 24]
    assert "too shallow to dip already" in line("B01 Gannet White: 5.1").why
    assert line("B01 Gannet White: 5.1").address == f"{reverse('ask')}?vessel=B01&wish=bring+to"
    assert not [row for row in lines() if row.what.startswith("B03") and "left" in row.what]


def test_a_bed_that_was_loosened_waits_to_be_measured(technician):
    fill = in_use("B12")
    read(fill, "1.45", technician, days=1)
    loosen(fill=fill, by=technician)
    assert line("B12 Gannet White: had settled hard").address == reverse("record-reading", args=["B12"])
    read(fill, "1.45", technician)
    assert not [row for row in lines() if "settled hard" in row.what]


def test_a_round_under_way_is_gone_on_with(technician, member):
    fill = in_use("B01")
    row = begin_round(kind="opening", by=member)
    stop_at(round=row, fill=fill, by=member)
    found_ = line("Opening round: 1 bucket done")
    assert found_.address == reverse("round", args=[row.pk])
    assert "Begun by Ilse" in found_.why


def test_a_flask_that_was_weighed_with_water_long_ago_is_due(technician):
    flask = GlassFactory(name="Flask 250", kind="flask")
    Glass.objects.filter(pk=flask.pk).update(calibrated_at=timezone.now() - timedelta(days=366))
    assert line("Flask 250: weigh it with water again").address == reverse("calibrate-glass", args=[flask.pk])
    Glass.objects.filter(pk=flask.pk).update(calibrated_at=timezone.now() - timedelta(days=300))
    assert not [row for row in lines() if "Flask 250" in row.what]


def test_a_lot_in_quarantine_tells_its_mass(technician):
    lot = LotFactory(mass_g="25000", state="quarantine")
    found_ = line(f"Lot {lot.code}")
    assert "25\N{NO-BREAK SPACE}kg cannot be weighed" in found_.why
    assert found_.address == reverse("lot", args=[lot.code])


def test_a_bucket_in_order_makes_no_line(technician):
    fill = in_use("B08", litres="15")
    stir(fill=fill, by=technician)
    read(fill, "1.45", technician)
    assert not [row for row in lines() if row.what.startswith("B08")]


def test_today_asks_twelve_times_at_most_however_much_waits(client, technician):
    client.force_login(technician)

    def queries():
        client.get(reverse("today"))
        with CaptureQueriesContext(connection) as asked:
            assert client.get(reverse("today")).status_code == 200
        return len(asked)

    in_use("B10")
    few = queries()
    for number in range(1, 9):
        fill = in_use(f"B0{number}", litres="4")
        read(fill, "1.45", technician, days=8, litres="4")
        log_use(fill=fill, volume_l=Decimal("0.2"), by=technician)
        report(fill=fill, words=f"specks {number}", by=None)
    LotFactory(state="quarantine")
    begin_round(kind="closing", by=technician)
    assert queries() == few <= 12
