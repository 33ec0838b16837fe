"""A round along the shelf: light to dark, its place kept, a stir logged where one was made."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from buckets.calc.rounds import carries_over, lab_of
from buckets.models import Round, Stop
from buckets.operations.holding import hold_fill
from buckets.operations.rounds import begin_round, end_round, stop_at
from buckets.rounds import way_of
from studio.errors import Refused
from tests.buckets.rows import found, in_use

pytestmark = pytest.mark.django_db

WHITE, GREY, AMBER, GREEN, SLATE = "#f2efe6", "#cfd0cc", "#b98a3e", "#5f9a86", "#39424e"


def shelf():
    """Five buckets of unlike colour, put up in no order."""
    made = {"B01": SLATE, "B02": WHITE, "B03": GREEN, "B04": AMBER, "B05": GREY}
    return {
        code: found(code, glaze=f"Glaze {code}", colour=colour, litres="8") for code, colour in made.items()
    }


def codes(places):
    return [place.fill.vessel.code for place in places if place]


def walk(client, person, row, fill, **said):
    client.force_login(person)
    data = {"key": str(uuid4()), "fill": fill.pk, **said}
    return client.post(reverse("round", args=[row.pk]), data)


def test_a_round_goes_from_light_glazes_to_dark(member):
    shelf()
    way = way_of(begin_round(kind="opening", by=member))
    assert codes([way.here, *way.to_come]) == ["B02", "B05", "B04", "B03", "B01"]
    assert (way.done, way.total) == (0, 5)


def test_the_mixer_is_rinsed_where_colour_would_carry_over():
    assert carries_over(before=SLATE, after=WHITE)
    assert carries_over(before=AMBER, after=GREEN)
    assert not carries_over(before=WHITE, after=GREY)
    assert not carries_over(before=WHITE, after=SLATE)


@given(st.from_regex(r"#[0-9a-f]{6}", fullmatch=True))
def test_a_glaze_never_has_to_be_rinsed_off_for_itself(colour):
    assert not carries_over(before=colour, after=colour)


@given(st.integers(0, 255), st.integers(0, 255))
def test_of_two_greys_only_the_lighter_one_asks_for_a_rinse(one, other):
    dark, light = (f"#{part:02x}{part:02x}{part:02x}" for part in sorted((one, other)))
    assert not carries_over(before=light, after=dark)
    assert carries_over(before=dark, after=light) == (lab_of(light).lightness - lab_of(dark).lightness > 5)


def test_white_and_black_and_pure_red_have_the_lightness_of_the_standard():
    # CIE L*a*b* of sRGB white, black and #ff0000, D65: 100, 0, 53.24 (from memory)
    assert lab_of("#ffffff").lightness == pytest.approx(100, abs=0.01)
    assert lab_of("#000000").lightness == pytest.approx(0, abs=0.01)
    assert lab_of("#ff0000").lightness == pytest.approx(53.24, abs=0.01)


@pytest.mark.parametrize("colour", ["", "red", "#12345", "112233#", "#1122zz"])
def test_what_is_no_colour_is_refused(colour):
    with pytest.raises(ValueError):  # noqa: PT011 - int() speaks for itself in one of them
        lab_of(colour)


def test_reclaim_comes_last_whatever_its_colour(member):
    fills = shelf()
    white = fills["B02"]
    white.reclaim = True
    white.save(update_fields=["reclaim"])
    way = way_of(begin_round(kind="opening", by=member))
    assert codes([way.here, *way.to_come])[-1] == "B02"


def test_a_stop_with_a_stir_stirs_the_bucket_and_goes_on(client, member):
    fills = shelf()
    row = begin_round(kind="opening", by=member)
    answer = walk(client, member, row, fills["B02"], done="stirred")
    assert (answer.status_code, answer.url) == (303, reverse("round", args=[row.pk]))
    fills["B02"].refresh_from_db()
    assert fills["B02"].stirred_by == member
    page = client.get(answer.url)
    assert "B05 Glaze B05" in page.content.decode()
    assert "1 of 5 buckets done" in page.content.decode()


def test_a_round_keeps_its_place_for_whoever_goes_on(client, member, technician):
    fills = shelf()
    row = begin_round(kind="opening", by=member)
    walk(client, member, row, fills["B02"], done="stirred")
    client.force_login(technician)
    assert "B05 Glaze B05" in client.get(reverse("round", args=[row.pk])).content.decode()


def test_a_bucket_passed_by_needs_a_word_why(client, member):
    fills = shelf()
    row = begin_round(kind="opening", by=member)
    answer = walk(client, member, row, fills["B02"], done="passed")
    assert answer.status_code == 422
    assert "Say in a word why it was passed by." in answer.content.decode()
    assert not Stop.objects.exists()
    walk(client, member, row, fills["B02"], done="passed", note="someone is dipping")
    stop = Stop.objects.get()
    assert (stop.passed, stop.note) == (True, "someone is dipping")
    fills["B02"].refresh_from_db()
    assert fills["B02"].stirred_at is None


def test_a_bucket_is_done_once_in_a_round(member):
    fills = shelf()
    row = begin_round(kind="opening", by=member)
    stop_at(round=row, fill=fills["B02"], by=member)
    with pytest.raises(Refused, match="done in this round already"):
        stop_at(round=row, fill=fills["B02"], stirred=True, by=member)
    fills["B02"].refresh_from_db()
    assert fills["B02"].stirred_at is None


def test_the_same_key_is_one_stop(member):
    fills, key = shelf(), uuid4()
    row = begin_round(kind="opening", by=member)
    once = stop_at(round=row, fill=fills["B02"], stirred=True, by=member, key=key)
    assert stop_at(round=row, fill=fills["B02"], stirred=True, by=member, key=key) == once
    assert fills["B02"].care.count() == 1


def test_a_second_round_of_the_day_is_not_begun_while_one_is_under_way(member):
    begin_round(kind="opening", by=member)
    with pytest.raises(Refused, match="under way"):
        begin_round(kind="opening", by=member)
    begin_round(kind="closing", by=member)
    assert Round.objects.count() == 2


def test_a_round_forgotten_yesterday_ends_when_todays_begins(member):
    old = begin_round(kind="opening", by=member, at=timezone.now() - timedelta(days=1))
    begin_round(kind="opening", by=member)
    old.refresh_from_db()
    assert old.ended_at is not None


def test_a_round_that_ended_takes_no_more_stops(member):
    fills = shelf()
    row = end_round(round=begin_round(kind="closing", by=member), by=member)
    with pytest.raises(Refused, match="has ended"):
        stop_at(round=row, fill=fills["B02"], by=member)
    with pytest.raises(Refused, match="ended already"):
        end_round(round=row, by=member)


def test_a_held_bucket_is_seen_and_not_stirred(client, technician):
    fill = in_use("B02")
    hold_fill(fill=fill, reason="blue specks", by=technician)
    row = begin_round(kind="opening", by=technician)
    client.force_login(technician)
    page = client.get(reverse("round", args=[row.pk])).content.decode()
    assert "blue specks" in page
    assert "Seen, next bucket" in page
    assert "Stirred, next bucket" not in page


def test_the_page_of_a_round_asks_the_same_number_of_questions_however_many_buckets(
    client, member, django_assert_num_queries
):
    row = begin_round(kind="opening", by=member)
    client.force_login(member)
    found("B01", glaze="One", litres="8")
    client.get(reverse("round", args=[row.pk]))
    with django_assert_num_queries(7):
        client.get(reverse("round", args=[row.pk]))
    for number in range(2, 8):
        found(f"B0{number}", glaze=f"Glaze {number}", litres="8")
    with django_assert_num_queries(7):
        client.get(reverse("round", args=[row.pk]))


WRONG = [
    ({}, "This form lost its key"),
    ({"key": "1"}, "This form lost its key"),
    ({"fill": ""}, "another bucket"),
    ({"fill": "0"}, "another bucket"),
    ({"fill": "B02"}, "another bucket"),
    ({"fill": "9" * 30}, "another bucket"),
    ({"done": ""}, "Stirred, seen, or passed by?"),
    ({"done": "drunk"}, "Stirred, seen, or passed by?"),
    ({"done": "passed", "note": "   "}, "Say in a word why"),
    ({"done": "passed", "note": "x" * 201}, "At most 200 letters"),
    ({"done": "passed", "note": "a\x00b"}, "cannot be kept"),
]


@pytest.mark.parametrize(("said", "sentence"), WRONG)
def test_wrong_input_at_a_stop_is_told_and_changes_nothing(client, member, said, sentence):
    fill = shelf()["B02"]
    row = begin_round(kind="opening", by=member)
    client.force_login(member)
    good = {"key": str(uuid4()), "fill": fill.pk, "done": "stirred"}
    sent = {**good, **said} if said else {name: value for name, value in good.items() if name != "key"}
    answer = client.post(reverse("round", args=[row.pk]), sent)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not Stop.objects.exists()


@pytest.mark.parametrize("kind", ["", "noon", "OPENING", "opening\x00", "1", "opening,closing"])
def test_only_an_opening_or_a_closing_round_can_be_begun(client, member, kind):
    client.force_login(member)
    answer = client.post(reverse("rounds"), {"key": str(uuid4()), "kind": kind})
    assert answer.status_code == 422
    assert not Round.objects.exists()
