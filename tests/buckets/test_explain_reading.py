"""A reading that was not as expected is accepted, asked about, and put right only by a person's word.

Figures of B04 are those of demo_studio.md 4; others are made up.
"""

import html
import re
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from buckets.models import Care, Explanation, Fill, Reading, Report, Use
from buckets.operations import readings
from buckets.operations.explaining import explain_reading, move_reading
from buckets.queries import dip_check_of, fill_in
from studio.errors import KeyUsedOtherwise, NotAllowed, Refused
from studio.people.models import Entry
from studio.room import policy
from tests.buckets.rows import DAY, HOUR, in_use
from tests.factories import bram, person, tamsin

pytestmark = pytest.mark.django_db
MODELS = (Reading, Care, Use, Report, Fill, Explanation, Entry)


def read(fill, sg, at, *, litres=None, by=None, **said):
    volume_l = None if litres is None else Decimal(litres)
    return readings.record_reading(
        fill=fill, sg=Decimal(sg), volume_l=volume_l, by=by or bram(), at=at, **said
    )


def fallen(code="B04", *, to="1.408", litres="11.05"):
    """B04 of the demo studio: 1.437, 1.439, 1.442 week by week, then lower with no water logged."""
    at = timezone.now().replace(microsecond=0) - 22 * DAY
    fill = in_use(code, litres="14", at=at - DAY)
    for week, (sg, level) in enumerate((("1.437", "13.02"), ("1.439", "11.94"), ("1.442", "10.81"))):
        read(fill, sg, at + week * 7 * DAY, litres=level)
    odd = read(fill, to, at + 21 * DAY, litres=litres)
    fill.refresh_from_db()
    return fill, odd


def counts():
    return [model.objects.count() for model in MODELS]


def words_of(answer):
    bare = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(bare).replace("\xa0", " ")).replace(" .", ".")


# --- edge case 54 (edge_cases.md): SG falls 0.06 with no water logged


def test_an_sg_fallen_by_0_06_is_accepted_flagged_estimated_and_asked_about_and_nothing_is_corrected(
    client, technician
):
    fill, odd = fallen(to="1.382")  # 0.06 below 1.442
    assert fill.unexplained == odd
    assert fill.check_reading == odd
    assert fill.volume_l == Decimal("11.05")
    assert Care.objects.filter(fill=fill, kind="water in").count() == 0
    client.force_login(technician)
    page = words_of(client.get("/shelf/B04/"))
    # 11.05 L x (1.442 - 1.382) / 0.442 = 1.5 L by the level read with it
    assert "0.06 below 1.442" in page or "0.060 below 1.442" in page
    assert "1.5 L of water not written down" in page
    asked = words_of(client.get(f"/shelf/B04/readings/{odd.pk}/explain/"))
    places = [
        asked.index(said)
        for said in ("not written down", "not stirred", "another bucket", "Something else got into it")
    ]
    assert places == sorted(places)
    assert Fill.objects.get(pk=fill.pk).unexplained == odd


def test_the_page_after_an_unexpected_reading_asks(client, technician):
    fill, _ = fallen(to="1.442")
    client.force_login(technician)
    said = {"sg": "1.39", "fill": fill.pk, "key": uuid4(), "volume_l_0": "10.6", "volume_l_1": "L"}
    answer = client.post("/shelf/B04/reading/", said, follow=True)
    assert "What happened?" in words_of(answer)


# --- what was it


def test_forgotten_water_is_written_down_at_its_own_time_and_the_residual_shrinks():
    fill, odd = fallen()
    said = explain_reading(reading=odd, why="forgot to log", volume_l=Decimal("0.85"), by=bram())
    water = fill.care.get(kind="water in")
    assert odd.interval.since.at < water.at < odd.at
    assert water.volume_l == Decimal("0.85")
    assert said.volume_l == Decimal("0.85")
    odd.interval.refresh_from_db()
    # (1.442 x 10.81 + 0.85) / 11.66 = 1.4098
    assert odd.interval.predicted_sg == Decimal("1.4098")
    assert odd.interval.residual == Decimal("-0.0018")
    fill.refresh_from_db()
    assert fill.unexplained is None
    assert fill.volume_l == Decimal("11.05")  # the level was read after the water went in


def test_where_it_rose_the_water_was_lost_standing_open():
    fill, odd = fallen(to="1.500", litres="9.4")
    explain_reading(reading=odd, why="forgot to log", volume_l=Decimal("1.2"), by=bram())
    lost = fill.care.get(kind="water off")
    assert (lost.how, lost.change_l) == ("standing open", Decimal("-1.2"))
    assert Explanation.objects.get().volume_l == Decimal("-1.2")


def test_not_stirred_takes_the_reading_back_and_the_one_before_counts_again():
    fill, odd = fallen()
    before = odd.interval.since
    explain_reading(reading=odd, why="not stirred", by=bram())
    fill.refresh_from_db()
    assert fill.check_reading == before
    assert fill.unexplained is None
    assert odd.replaced_by.note == "not stirred when it was measured"


def test_something_else_in_it_holds_the_bucket_and_says_what_was_measured():
    fill, odd = fallen()
    explain_reading(reading=odd, why="contaminated", note="smells of the clay trap", by=bram())
    fill.refresh_from_db()
    assert fill.held
    assert Report.objects.get().words == "SG 1.408 where 1.442 was expected. smells of the clay trap"
    assert fill.check_reading == odd
    assert fill.unexplained is None


def test_another_reason_needs_words_and_changes_nothing_else():
    fill, odd = fallen()
    with pytest.raises(Refused, match="few words"):
        explain_reading(reading=odd, why="other", note="  ", by=bram())
    explain_reading(reading=odd, why="other", note="new cylinder", by=bram())
    fill.refresh_from_db()
    assert fill.unexplained is None
    assert fill.check_reading == odd
    assert odd.interval.residual == Decimal("-0.034")


# --- edge case 55 (edge_cases.md): reading put on the wrong bucket


def test_a_reading_on_the_wrong_bucket_moves_by_reversal_and_new_row_and_both_buckets_are_worked_out_anew():
    fill, odd = fallen()
    other = in_use("B05", litres="9", at=timezone.now() - 25 * DAY)
    explain_reading(reading=odd, why="other bucket", to_fill=other, by=bram())
    fill.refresh_from_db()
    other.refresh_from_db()
    moved = other.check_reading
    assert moved is not None
    assert (moved.sg, moved.at, moved.by) == (odd.sg, odd.at, odd.by)
    assert moved.note == "moved from B04"
    back = odd.replaced_by
    assert (back.fill, back.sg, back.note) == (fill, None, "belongs to B05")
    assert fill.check_reading.sg == Decimal("1.442")
    assert fill.volume_l == Decimal("10.81")
    assert other.volume_l == Decimal("11.05")
    assert not fill.intervals.filter(reading=odd).exists()
    names = list(Entry.objects.order_by("-id").values_list("act", flat=True)[:3])
    assert set(names) == {"reading taken back", "reading moved", "reading explained"}
    about = Entry.objects.get(act="reading moved")
    assert (about.about_id, about.result_id) == (other.pk, moved.pk)
    rules, now = policy.in_force(), timezone.now()
    assert dip_check_of(fill_in("B05"), now, rules).reading.sg == 1.408
    assert dip_check_of(fill_in("B04"), now, rules).reading.sg == 1.442


def test_litres_of_a_depth_are_those_of_the_other_bucket():
    at = timezone.now() - 3 * DAY
    here, there = in_use("B04", litres="8"), in_use("B05", litres="9")
    there.vessel.bottom_cm = Decimal(20)
    type(there.vessel).objects.filter(pk=there.vessel.pk).update(bottom_cm=20, top_cm=22)
    row = readings.record_reading(fill=here, sg=Decimal("1.45"), depth_cm=Decimal(10), by=bram(), at=at)
    moved = move_reading(reading=row, to_fill=there, by=bram())
    assert moved.depth_cm == row.depth_cm
    assert moved.volume_l < row.volume_l


def test_it_moves_only_to_another_bucket_that_held_this_fill_then():
    fill, odd = fallen()
    with pytest.raises(Refused, match="on B04 already") as same:
        move_reading(reading=odd, to_fill=fill, by=bram())
    later = in_use("B05", at=timezone.now() - HOUR)
    with pytest.raises(Refused, match="before Gannet White was in B05") as before:
        move_reading(reading=odd, to_fill=later, by=bram())
    assert {same.value.field, before.value.field} == {"to_fill"}
    assert odd.explanations.count() == 0


# --- who, how often, when


def test_a_technician_says_it_or_who_took_it_on_that_day():
    fill, _ = fallen()
    helper = person("Yusuf", "helper", signed_off=("SG", "wet mixing"))
    odd = read(fill, "1.350", timezone.now() - HOUR, litres="10.9", by=helper)
    with pytest.raises(NotAllowed, match="technician"):
        explain_reading(reading=odd, why="not stirred", by=person("Ilse"))
    explain_reading(reading=odd, why="not stirred", by=helper)
    assert Explanation.objects.get().by == helper


def test_it_is_said_once_and_the_same_key_says_it_once():
    _, odd = fallen()
    key = uuid4()
    first = explain_reading(reading=odd, why="other", note="new cylinder", by=bram(), key=key)
    again = explain_reading(reading=odd, why="other", note="new cylinder", by=bram(), key=key)
    assert first == again
    with pytest.raises(KeyUsedOtherwise):
        explain_reading(reading=odd, why="other", note="old cylinder", by=bram(), key=key)
    with pytest.raises(Refused, match="said already"):
        explain_reading(reading=odd, why="other", note="crust", by=tamsin())
    assert Explanation.objects.count() == 1


@pytest.mark.parametrize(
    ("said", "sentence", "field"),
    [
        ({"why": "mice"}, "What was it", "why"),
        ({"why": ""}, "What was it", "why"),
        ({"why": "forgot to log"}, "How much water", "volume_l"),
        ({"why": "forgot to log", "volume_l": Decimal(0)}, "more than 0 L", "volume_l"),
        ({"why": "forgot to log", "volume_l": Decimal(-1)}, "more than 0 L", "volume_l"),
        ({"why": "forgot to log", "volume_l": Decimal(30)}, "20.36", "volume_l"),
        ({"why": "other bucket"}, "Which bucket", "to_fill"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(said, sentence, field):
    _, odd = fallen()
    before = counts()
    with pytest.raises(Refused, match=sentence) as refusal:
        explain_reading(reading=odd, by=bram(), **said)
    assert refusal.value.field == field
    assert counts() == before


@pytest.mark.parametrize("off", [-8 * DAY, timedelta(hours=1)])
def test_forgotten_water_went_in_between_the_two_readings(off):
    _, odd = fallen()
    with pytest.raises(Refused, match="between the two readings") as refusal:
        explain_reading(
            reading=odd,
            why="forgot to log",
            volume_l=Decimal(1),
            went_at=odd.at + off,
            by=bram(),
        )
    assert refusal.value.field == "went_at"


def test_a_reading_of_which_nothing_was_expected_has_nothing_to_explain():
    fill = in_use("B04")
    first = read(fill, "1.45", timezone.now() - DAY)
    with pytest.raises(Refused, match="Nothing was expected"):
        explain_reading(reading=first, why="not stirred", by=bram())


def test_water_forgotten_in_a_bucket_full_by_now_is_not_refused_for_room():
    fill, odd = fallen(to="1.38", litres="16.9")
    explain_reading(reading=odd, why="forgot to log", volume_l=Decimal("1.5"), by=bram())
    fill.refresh_from_db()
    assert fill.volume_l == Decimal("16.9")


# --- the page


def test_what_will_be_so_is_shown_before_it_is_done(client, technician):
    _, odd = fallen()
    client.force_login(technician)
    where = f"/shelf/B04/readings/{odd.pk}/explain/"
    form = words_of(client.get(where, {"why": "forgot to log"}))
    assert "850 mL would do it" in form
    before = counts()
    said = {"why": "forgot to log", "volume_l_0": "0.85", "volume_l_1": "L", "key": uuid4()}
    shown = words_of(client.post(where, {**said, "look": "1"}))
    assert "Expected 1.410, came 1.408: −0.002 left over" in shown
    assert "Nothing is written yet" in shown
    assert counts() == before
    answer = client.post(where, said)
    assert (answer.status_code, answer["Location"]) == (303, "/shelf/B04/")
    assert Explanation.objects.get().why == "forgot to log"


TABLE = [
    ({"why": "forgot to log", "volume_l_0": "", "volume_l_1": "L"}, "How much water"),
    ({"why": "forgot to log", "volume_l_0": "some", "volume_l_1": "L"}, "not a number"),
    ({"why": "forgot to log", "volume_l_0": "0", "volume_l_1": "L"}, "more than 0 L"),
    ({"why": "forgot to log", "volume_l_0": "-1", "volume_l_1": "L"}, "more than 0 L"),
    ({"why": "forgot to log", "volume_l_0": "1,", "volume_l_1": "L"}, "stops at its comma"),
    ({"why": "forgot to log", "volume_l_0": "1", "volume_l_1": "pint"}, "Choose one from the list"),
    ({"why": "forgot to log", "volume_l_0": "nan", "volume_l_1": "L"}, "not a number"),
    ({"why": "forgot to log", "volume_l_0": "9" * 60, "volume_l_1": "L"}, ""),
    ({"why": "forgot to log", "volume_l_0": "1", "volume_l_1": "L", "went_at": "yesterday"}, "day and time"),
    ({"why": "forgot to log", "volume_l_0": "1", "volume_l_1": "L", "went_at": "2026-13-01 9:00"}, "day and"),
    (
        {"why": "forgot to log", "volume_l_0": "1", "volume_l_1": "L", "went_at": "2001-1-1 9:00"},
        "between",
    ),
    (
        {"why": "forgot to log", "volume_l_0": "1", "volume_l_1": "L", "went_at": "2999-1-1 9:00"},
        "between",
    ),
    ({"why": "forgot to log", "volume_l_0": "1", "volume_l_1": "L", "went_at": "9" * 40}, "day and time"),
    ({"why": "forgot to log", "volume_l_0": "1", "volume_l_1": "L", "went_at": "<b>"}, "day and time"),
    ({"why": "other bucket", "to_fill": ""}, "Which bucket"),
    ({"why": "other bucket", "to_fill": "0"}, "not in a bucket any more"),
    ({"why": "other bucket", "to_fill": "9" * 30}, "not in a bucket any more"),
    ({"why": "other bucket", "to_fill": "B05"}, "not in a bucket any more"),
    ({"why": "other bucket", "to_fill": "-1"}, "not in a bucket any more"),
    ({"why": "other bucket", "to_fill": "1.5"}, "not in a bucket any more"),
    ({"why": "other", "note": ""}, "few words"),
    ({"why": "other", "note": "   "}, "few words"),
    ({"why": "other", "note": "n" * 201}, "at most 200"),
    ({"why": "contaminated", "note": "n" * 201}, "at most 200"),
    ({"why": "not stirred", "note": "n" * 201}, "at most 200"),
    ({"why": "other", "note": "\x00"}, ""),
    ({"why": "mice"}, "What was it"),
    ({"why": "x" * 300}, "What was it"),
]


@pytest.mark.parametrize(("said", "sentence"), TABLE)
def test_wrong_input_is_said_beside_its_field_kept_and_nothing_is_written(client, technician, said, sentence):
    _, odd = fallen()
    client.force_login(technician)
    before = counts()
    answer = client.post(f"/shelf/B04/readings/{odd.pk}/explain/", {**said, "key": uuid4()})
    assert answer.status_code == 422
    assert sentence in words_of(answer)
    assert counts() == before
    typed = [value for name, value in said.items() if name in ("note", "went_at", "volume_l_0") and value]
    for text in typed:
        if text.strip() and "\x00" not in text:
            assert html.escape(text.strip()) in answer.content.decode()


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"to_fill": ""}, "Which bucket"),
        ({"to_fill": "0"}, "not in a bucket any more"),
        ({"to_fill": "9" * 30}, "not in a bucket any more"),
        ({"to_fill": "B05"}, "not in a bucket any more"),
        ({"to_fill": "-1"}, "not in a bucket any more"),
        ({"to_fill": "own"}, "on B04 already"),
        ({"to_fill": "own", "note": "n" * 151}, "at most 150"),
    ],
)
def test_a_move_that_cannot_be_is_said_and_nothing_is_written(client, technician, said, sentence):
    fill, odd = fallen()
    said = {name: fill.pk if value == "own" else value for name, value in said.items()}
    client.force_login(technician)
    before = counts()
    answer = client.post(f"/shelf/B04/readings/{odd.pk}/move/", {**said, "key": uuid4()})
    assert answer.status_code == 422
    assert sentence in words_of(answer)
    assert counts() == before


def test_the_page_that_asks_needs_few_queries(client, technician, django_assert_max_num_queries):
    _, odd = fallen()
    client.force_login(technician)
    for why in ("", "forgot to log", "other bucket"):
        with django_assert_max_num_queries(12):
            answer = client.get(f"/shelf/B04/readings/{odd.pk}/explain/", {"why": why})
        assert answer.status_code == 200
