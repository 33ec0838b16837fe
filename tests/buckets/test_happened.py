"""The bucket's page tells what happened: chart, what is left over, the verdict, and where the litres went.

Figures are made up unless a source is named.
"""

import html
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from buckets import balance, happened
from buckets.models import Fill, Reading
from buckets.operations import care, readings
from buckets.operations.explaining import explain_reading
from buckets.operations.fills import empty_fill
from studio import charts
from studio.charts import Dot, Rest
from tests.buckets.rows import DAY, HOUR, in_use
from tests.buckets.test_explain_reading import fallen, read, words_of
from tests.factories import bram, person

pytestmark = pytest.mark.django_db
NOW = timezone.now()


def weekly(code="B02", rows=(), *, litres="14"):
    """A fill measured week by week, the last time yesterday: (SG, level)."""
    start = timezone.now().replace(microsecond=0) - (7 * (len(rows) - 1) + 1) * DAY
    fill = in_use(code, litres=litres, at=start - DAY)
    for week, (sg, level) in enumerate(rows):
        read(fill, sg, start + week * 7 * DAY, litres=level)
    fill.refresh_from_db()
    return fill


def page(client, who, code="B02"):
    if who:
        client.force_login(who)
    return client.get(f"/shelf/{code}/")


def chart_of(answer):
    return re.search(r'<svg class="chart.*?</svg>', answer.content.decode(), re.S).group()


# --- the chart


def test_the_chart_has_its_window_its_events_a_members_square_and_what_is_left_over(client, technician):
    fill = weekly(rows=[("1.450", "12"), ("1.452", "11"), ("1.454", "10")])
    at = timezone.now() - 5 * DAY
    care.water_in(fill=fill, volume_l=Decimal("0.3"), by=technician, at=at)
    read(fill, "1.43", at + HOUR, by=person("Ilse"))
    drawn = chart_of(page(client, technician))
    assert drawn.count("<circle") == 3
    assert drawn.count('<rect class="dot') == 1
    assert drawn.count('class="window"') == 1
    assert ">water 300\xa0mL<" in drawn
    assert drawn.count('class="rest"') == 2
    assert 'class="limit"' not in drawn  # two intervals say nothing of what is usual
    assert re.search(r"<title[^>]*>Specific gravity over time</title><desc[^>]*>specific gravity", drawn)
    assert "1 of them by members" in drawn


def test_limits_are_drawn_from_five_intervals_on_and_said_to_be_trial_until_twelve(client, technician):
    rows = [(f"1.{450 + n % 3}", "10") for n in range(5)]
    few = words_of(page(client, technician, weekly("B02", rows).vessel.code))
    assert "4 intervals so far: from 5 on" in few
    some = page(client, technician, weekly("B03", [*rows, ("1.453", "10")]).vessel.code)
    assert chart_of(some).count('class="limit"') == 2
    assert "by all 5 intervals of this fill. Each reading moves that until there are 12" in words_of(some)


def test_from_twelve_intervals_on_limits_stand_firm():
    fill = Fill(residual_count=12, residual_sum=Decimal("0.06"))
    limit, said = happened.usual(fill, [Decimal("1.452")])
    # 3.267 x 0.06 / 12
    assert limit == Decimal("0.016335")
    assert said.endswith("That stands firm.")


def test_readings_in_coarse_steps_hide_the_limits_and_say_why():
    """Quality charts reference 7, Wheeler [M]: three possible ranges or fewer inside the limit."""
    fill = Fill(residual_count=7, residual_sum=Decimal("0.04"))  # S10: mean 0.0057, steps of 0.01
    limit, said = happened.usual(fill, [Decimal("1.45"), Decimal("1.46")])
    assert limit is None
    assert "steps of 0.01, too coarse" in said


def test_the_table_behind_the_chart_says_the_same(client, technician):
    fill, odd = fallen()
    answer = page(client, technician, "B04")
    table = re.search(r"<table>.*?</table>", answer.content.decode(), re.S).group()
    rows = [html.unescape(re.sub(r"<[^>]+>", " ", row)).split() for row in re.findall("<tr>.*?</tr>", table)]
    assert rows[1][-3:] == ["1.408", "1.442", "−0.034"]
    assert "not as expected" in " ".join(rows[1])
    assert len(rows) == 5
    assert fill.unexplained == odd


def test_a_full_chart_is_at_most_40_kb_and_its_lettering_16_px():
    moments = [NOW - n * timedelta(hours=20) for n in range(50, 0, -1)]
    drawn = charts.sg_chart(
        points=[Dot(at, Decimal("1.4512"), n % 4 == 0, n % 7 == 0) for n, at in enumerate(moments)],
        events=[(at, "magnesium sulfat") for at in moments[::2]],
        rests=[Rest(at, Decimal("-0.01234"), n % 7 == 0) for n, at in enumerate(moments)],
        target=Decimal("1.45"),
        half=Decimal("0.02"),
        limit=Decimal("0.0311"),
        now=NOW,
    )
    assert len(drawn.encode()) <= 40_000
    assert "font-size" not in drawn  # the style sheet says 16 px, at every width: places are percentages
    assert "viewBox" not in drawn


def test_a_stranger_sees_the_chart_and_no_names_nor_questions(client):
    fallen()
    said = words_of(page(client, None, "B04"))
    assert "What happened" in said
    assert "What happened?" not in said
    assert "Bram" not in said


def test_a_member_is_not_asked_a_technician_is(client, member, technician):
    fallen()
    assert "What happened?" not in words_of(page(client, member, "B04"))
    assert "What happened?" in words_of(page(client, technician, "B04"))


# --- what it says


@pytest.mark.parametrize(
    ("last", "said"),
    [
        ("1.453", "Inside the window and nothing out of the usual."),
        ("1.500", "Outside the window and not as expected: stir, measure again."),
    ],
)
def test_window_and_limits_together_are_said_in_words(client, technician, last, said):
    """The table of quality charts reference 6."""
    rows = [(f"1.{450 + n % 3}", "10") for n in range(6)]
    fill = weekly(rows=rows)
    readings.record_reading(
        fill=fill, sg=Decimal(last), u_sg=Decimal("0.002"), by=technician, at=timezone.now() - HOUR
    )
    assert said in words_of(page(client, technician))


def test_after_fourteen_days_without_a_reading_nothing_is_claimed():
    fill = weekly(rows=[("1.450", "10"), ("1.451", "10")])
    said = happened.says(fill, [], timezone.now() + 20 * DAY, changed=False)
    assert said == "No technician’s reading for 21 days: how it stands is not known."


def test_the_day_of_the_edge_is_said_with_about(client, technician):
    fill = weekly(rows=[("1.450", "10"), ("1.455", "10"), ("1.460", "10")])
    assert fill.edge_at is not None
    said = words_of(page(client, technician))
    assert f"meets the window’s edge, 1.470, about {balance.day(fill.edge_at)}." in said


def test_eight_residuals_on_one_side_are_a_signal_from_twelve_on():
    moments = [NOW - n * DAY for n in range(30)]
    rests = [Decimal("0.001") * (n % 3 - 1) for n in range(12)] + [Decimal("0.004")] * 8

    def gap(n, rest):
        return balance.Gap(
            reading=n, at=moments[-n], sg=Decimal("1.45"), volume_l=None, since=0, since_at=NOW,
            since_sg=Decimal("1.45"), since_volume_l=None, predicted_sg=Decimal("1.45"), residual=rest,
            begins_segment=False, used_l=Decimal(0), added_l=Decimal(0), added_g=Decimal(0), logged=(),
            explained=False,
        )  # fmt: skip

    gaps = [gap(n, rest) for n, rest in enumerate(rests)][::-1]
    assert happened.leans(gaps)
    assert not happened.leans(gaps[2:])  # only seven: the one before lies on the other side or on the line
    assert not happened.leans(gaps[:8])  # too few to say what is usual


# --- where the litres went


def test_water_that_appeared_is_asked_about_not_corrected(client, technician):
    """demo_studio.md B04, 16 to 23 March: U 0.64, E -0.87."""
    fill, _ = fallen()
    (gap, *_) = balance.newest_gaps(fill.pk)
    found = balance.of_pair(gap)
    assert found.appeared
    assert found.loss.used_l == pytest.approx(0.64, abs=0.02)
    assert found.loss.water_lost_l == pytest.approx(-0.87, abs=0.02)
    said = words_of(page(client, technician, "B04"))
    assert "water appeared" in said
    assert "Nothing is corrected by itself" in said


def test_without_a_level_it_is_said_what_is_missing():
    fill = weekly(rows=[("1.450", "10"), ("1.460", None)])
    (gap,) = balance.newest_gaps(fill.pk)
    found = balance.of_pair(gap)
    assert found.loss is None
    (said,) = balance.sentences(found)
    assert f"no level was read with the gravity on {balance.day(gap.at)}" in said
    assert "Read level and gravity together" in said


def test_after_a_thaw_it_cannot_be_told():
    fill = weekly(rows=[("1.450", "10"), ("1.450", "9")])
    care.thaw_fill(fill=fill, by=bram(), at=timezone.now() - 3 * DAY)
    (gap,) = balance.newest_gaps(fill.pk)
    assert "whose weight nobody knows" in balance.of_pair(gap).missing


def test_an_unexplained_reading_ends_the_weeks_that_are_told():
    fill, odd = fallen()
    read(fill, "1.410", timezone.now() - HOUR, litres="10.6")
    fill.refresh_from_db()
    gaps = balance.newest_gaps(fill.pk)
    since = timezone.now() - 60 * DAY
    assert balance.of_weeks(gaps, since, asked=[odd.pk]) is None
    explain_reading(reading=odd, why="forgot to log", volume_l=Decimal("0.85"), by=bram())
    told = balance.of_weeks(balance.newest_gaps(fill.pk), since)
    assert told.loss.water_lost_l == pytest.approx(0, abs=0.36)


def test_water_lost_is_said_only_beyond_its_doubt():
    """demo_studio.md: E alone only where it is more than 2 x 0.18 L; B06 and B08 by their weeks."""
    b06 = [("1.452", "9.87"), ("1.463", "9.12"), ("1.479", "8.43"), ("1.498", "7.74"), ("1.519", "6.84")]
    fill = weekly(rows=[*b06, ("1.541", "6.22")])
    gaps = balance.newest_gaps(fill.pk)
    weeks = balance.of_weeks(gaps, timezone.now() - 60 * DAY)
    assert weeks.loss.used_l == pytest.approx(2.24, abs=0.02)
    assert weeks.loss.water_lost_l == pytest.approx(1.41, abs=0.02)
    assert "About 1.41 L of water was lost" in " ".join(balance.sentences(weeks)).replace("\xa0", " ")
    pair = balance.of_pair(gaps[0])
    assert not pair.lost
    assert "within the doubt" in balance.sentences(pair)[1]


# --- queries, the long run


def test_the_page_costs_the_same_however_long_the_history_is(client, technician):
    fill = weekly(rows=[(f"1.{450 + n % 3}", "10") for n in range(3)])

    def cost():
        with CaptureQueriesContext(connection) as seen:
            assert page(client, None).status_code == 200
        return len(seen)

    client.force_login(technician)
    cost()  # what is asked once and kept
    few = cost()
    for n in range(12):
        read(fill, "1.451", timezone.now() - timedelta(hours=12 - n), litres="10")
    assert cost() == few <= 12


def test_the_long_run_has_every_reading_by_pages_and_as_a_list_to_take_away(client, member):
    fill = in_use("B02", litres="10", at=timezone.now() - 80 * DAY)
    first = readings.record_reading(fill=fill, sg=Decimal("1.44"), by=bram(), at=timezone.now() - 70 * DAY)
    rows = [
        Reading(
            fill=fill, sg=Decimal("1.45"), u_sg=None, method="typed", is_check=False, by=bram(),
            at=timezone.now() - timedelta(days=60) + n * HOUR, note="=1+1" if n == 0 else "",
        )
        for n in range(60)
    ]  # fmt: skip
    Reading.objects.bulk_create(rows)
    readings.record_reading(fill=fill, sg=Decimal("1.451"), by=bram())
    client.force_login(member)
    newest = words_of(client.get("/shelf/B02/history/"))
    assert "62 readings" in newest
    assert "Older" in newest
    older = words_of(client.get("/shelf/B02/history/?page=2"))
    assert "Newer" in older
    assert "1.440" in older
    listed = b"".join(client.get("/shelf/B02/history/?format=csv").streaming_content).decode("utf-8-sig")
    lines = listed.strip().splitlines()
    assert len(lines) == 63
    assert lines[0].startswith("when,sg,")
    assert "'=1+1" in listed
    assert str(first.sg) in lines[-1]


@pytest.mark.parametrize("asked", ["page=0", "page=x", "page=999999999999", "page=-1", "format=exe", "fill="])
def test_a_page_that_is_not_there_shows_one_that_is(client, member, asked):
    weekly(rows=[("1.450", "10"), ("1.451", "10")])
    client.force_login(member)
    assert client.get(f"/shelf/B02/history/?{asked}").status_code == 200


@pytest.mark.parametrize("asked", ["fill=0", "fill=x", "fill=9999999999999", "fill=-1", "fill=1.5"])
def test_a_fill_that_never_was_in_it_is_not_found(client, member, asked):
    weekly(rows=[("1.450", "10")])
    client.force_login(member)
    assert client.get(f"/shelf/B02/history/?{asked}").status_code == 404


def test_an_emptied_fill_keeps_its_history(client, member):
    fill = weekly(rows=[("1.450", "10"), ("1.451", "10")])
    empty_fill(fill=fill, why="hard as a brick", went="waste", by=bram())
    client.force_login(member)
    assert client.get("/shelf/B02/history/").status_code == 302
    assert "emptied" in words_of(client.get(f"/shelf/B02/history/?fill={fill.number}"))


def test_the_history_page_needs_few_queries(client, member, django_assert_max_num_queries):
    weekly(rows=[(f"1.{450 + n % 3}", "10") for n in range(9)])
    client.force_login(member)
    with django_assert_max_num_queries(12):
        client.get("/shelf/B02/history/")


# --- for programs


def test_intervals_and_the_water_balance_are_there_for_programs(client, technician):
    fill, odd = fallen()
    client.force_login(technician)
    rows = client.get(f"/api/v1/fills/{fill.pk}/intervals/").json()["results"]
    (one,) = [row for row in rows if row["reading"] == odd.pk]
    assert (one["predicted_sg"], one["residual"], one["unexplained"]) == ("1.4420", "-0.03400", True)
    found = client.get(f"/api/v1/fills/{fill.pk}/water-balance/").json()
    assert found["newest"]["water_appeared"] is True
    assert float(found["newest"]["used_l"]) == pytest.approx(0.64, abs=0.02)
    assert found["newest"]["water_lost_l"] is None
