"""A dip check on the page: the strong button, the stir's clock time, use in two taps, the dip card."""

import html
import re
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from buckets.models import Fill, Use
from buckets.operations import care
from buckets.operations.coating import record_tile
from buckets.operations.holding import hold_fill
from buckets.operations.readings import record_reading
from buckets.queries import fill_in
from buckets.using import piece_ml, quick_choices
from studio.people.models import Entry
from studio.room import policy
from studio.room.operations.policy import set_policy
from tests.buckets.rows import DAY, found, in_use

pytestmark = pytest.mark.django_db
STRONG = re.compile(r'<(a|button)[^>]*class="[^"]*\bstrong\b[^"]*"[^>]*>(.*?)</\1>', re.S)


def text(answer):
    bare = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(bare).replace("\xa0", " "))


def page(client, who, address="/shelf/B02/"):
    client.force_login(who)
    answer = client.get(address)
    assert answer.status_code == 200
    return answer


def strong(client, who):
    """The words of the strong buttons in the bucket's row of acts."""
    acts = page(client, who).content.decode().split('<div class="acts">')[1].split("</div>")[0]
    return [
        re.sub(r"<svg.*?</svg>|<[^>]+>", "", words, flags=re.S).strip() for _, words in STRONG.findall(acts)
    ]


def measured(fill, by, sg="1.45", **said):
    return record_reading(fill=fill, by=by, sg=Decimal(sg), u_sg=Decimal("0.002"), **said)


# --- the act that would change it


def test_the_strong_button_is_the_act_that_would_change_the_answer(client, technician, member):
    fill = in_use()
    assert strong(client, member) == ["Take a reading"]
    measured(fill, technician, at=timezone.now() - DAY)
    assert strong(client, member) == ["I stirred it"]
    care.stir(fill=fill, by=member)
    assert strong(client, member) == ["I used some"]
    measured(fill, technician, "1.53")
    assert strong(client, technician) == ["Water in"]
    assert strong(client, member) == []
    measured(fill, technician, "1.40")
    assert strong(client, technician) == ["Powder in"]


def test_a_hold_is_the_technicians_to_lift_and_nobody_elses(client, technician, member):
    hold_fill(fill=in_use(), reason="blue specks", by=technician)
    assert strong(client, technician) == ["Lift the hold"]
    assert strong(client, member) == []


def test_a_fill_in_testing_is_the_technicians_to_release(client, technician, member):
    found()
    assert strong(client, technician) == ["Release into use"]
    assert strong(client, member) == []


def test_after_a_stir_the_page_says_until_what_clock_time_it_holds(client, technician, member):
    fill = in_use()
    client.force_login(member)
    before = timezone.now()
    answer = client.post("/shelf/B02/stir/", {"fill": fill.pk, "key": uuid4()}, follow=True)
    clocks = {
        timezone.localtime(moment + timedelta(minutes=5)).strftime("%H:%M")
        for moment in (before, timezone.now())
    }
    said = re.search(r"The stir holds until (?:tomorrow )?(\d\d:\d\d)\.", text(answer))
    assert said.group(1) in clocks


def test_a_reading_worn_by_use_says_that_it_counts_for_a_shorter_time(client, technician, member):
    fill = in_use()
    measured(fill, technician, volume_l=Decimal(8), at=timezone.now() - DAY)
    assert "sooner than usual" not in text(page(client, member))
    care.log_use(fill=fill, volume_l=Decimal("2.1"), by=member)
    assert "sooner than usual, as more than 2 L have gone since" in text(page(client, member))


def test_what_the_panel_has_no_room_for_stands_folded_below(client, technician, member):
    fill = found()
    measured(fill, technician, "1.53")
    hold_fill(fill=fill, reason="blue specks", by=technician)
    said = page(client, member).content.decode()
    panel, below = said.split('class="answer')[1].split("</section>", 1)
    assert "too thick" not in panel
    assert "What else there is to say" in below
    assert "too thick" in below


def test_a_shallow_bucket_says_pour_or_brush_on_its_page_and_on_the_shelf(client, technician, member):
    fill = in_use(litres="4.5")  # 8.5 cm in the pail P20
    measured(fill, technician)
    care.stir(fill=fill, by=member)
    assert "Pour or brush" in text(page(client, member))
    assert "too shallow to dip" in text(page(client, member))
    assert "pour or brush" in text(page(client, member, "/shelf/"))
    assert "1 fit after a stir" in text(page(client, member, "/shelf/"))


# --- I used some


def test_each_button_says_about_how_much_and_is_one_tap(client, member):
    in_use()
    said = text(page(client, member, "/shelf/B02/used/"))
    for words in (
        "1 piece about 50 mL",
        "2 pieces about 100 mL",
        "5 pieces about 250 mL",
        "A cup about 250 mL",
    ):
        assert words in said


@pytest.mark.parametrize(
    ("tap", "volume_l", "pieces"),
    [
        ({"pieces": "1"}, "0.050", 1),
        ({"pieces": "3"}, "0.150", 3),
        ({"volume_l_0": "250"}, "0.250", None),
        ({"pieces": "2", "volume_l_0": "80"}, "0.080", 2),
    ],
)
def test_a_tap_is_kept_as_pieces_and_litres(client, member, tap, volume_l, pieces):
    fill = in_use()
    client.force_login(member)
    said = {"fill": fill.pk, "key": uuid4(), "volume_l_1": "mL", **tap}
    answer = client.post("/shelf/B02/used/", said, follow=True)
    assert answer.redirect_chain == [("/shelf/B02/", 303)]
    use = Use.objects.get()
    assert (use.volume_l, use.pieces) == (Decimal(volume_l), pieces)
    assert f"About {8 - use.volume_l:.2f} L left." in text(answer)


def test_with_a_tile_a_piece_takes_what_its_coat_takes_and_without_the_studios_rule(technician, manager):
    fill = in_use()
    rules = policy.in_force()
    assert piece_ml(fill_in("B02"), rules) == 50
    measured(fill, technician)
    record_tile(fill=fill, seconds=Decimal(3), coat_g_per_cm2=Decimal("0.08"), by=technician)
    # 430 cm2 x 0.080 g/cm2 over 0.7101 g/mL of dry glaze (1.45, 2.731 g/mL) and 4 mL: 52.4 mL, to 5 mL
    assert piece_ml(fill_in("B02"), rules) == 50
    set_policy(name="piece_area_cm2", value=Decimal(900), by=manager)
    assert piece_ml(fill_in("B02"), policy.in_force()) == 105
    assert piece_ml(Fill.objects.get(), policy.in_force()) == 105


def test_no_button_offers_more_than_there_is(member):
    in_use(litres="0.12")
    assert [choice.pieces for choice in quick_choices(fill_in("B02"), policy.in_force())] == [1, 2]


def test_nothing_is_offered_from_a_held_bucket(client, technician, member):
    hold_fill(fill=in_use(), reason="blue specks", by=technician)
    said = text(page(client, member, "/shelf/B02/used/"))
    assert "nothing is taken from it until a technician lifts that" in said
    assert "about 50 mL" not in said


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "How much did you use?"),
        ({"pieces": ""}, "How much did you use?"),
        ({"pieces": "0"}, "At least one piece"),
        ({"pieces": "some"}, "whole numbers"),
        ({"pieces": "1001"}, "At most 1000 pieces"),
        ({"pieces": "-2"}, "At least one piece"),
        ({"pieces": "2.5"}, "whole numbers"),
        ({"pieces": "900"}, "holds 8 L"),
        ({"pieces": "2", "volume_l_0": "a lot"}, "not a number"),
    ],
)
def test_what_cannot_be_is_answered_and_nothing_is_written(client, member, typed, sentence):
    fill = in_use()
    client.force_login(member)
    before = Entry.objects.count()
    said = {"fill": fill.pk, "key": uuid4(), "volume_l_1": "mL", **typed}
    answer = client.post("/shelf/B02/used/", said)
    assert answer.status_code == 422
    assert sentence in text(answer)
    assert (Use.objects.count(), Entry.objects.count()) == (0, before)


# --- the dip card


def test_the_card_is_open_to_everybody_and_says_the_six_things_and_the_cautions(client):
    answer = client.get("/dip-card/")
    assert answer.status_code == 200
    said = text(answer)
    for words in (
        "Dust off", "Wax dry", "Bucket stirred", "foot and the waxed parts", "beads of glaze on wax",
        "hands, tongs and whisk", "No food or drink", "Wipe a spill wet", "no respirator", "data sheets",
    ):  # fmt: skip
        assert words in said
    assert "I have read it" not in said


def test_a_new_member_is_shown_it_on_their_first_bucket_until_they_have_read_it(client, member):
    in_use()
    said = page(client, member)
    assert "New here? How to dip" in text(said)
    answer = client.post("/dip-card/seen/", {"key": uuid4(), "next": "/shelf/B02/"}, follow=True)
    assert answer.redirect_chain == [("/shelf/B02/", 303)]
    assert "New here?" not in text(answer)
    assert "How to dip here" in text(answer)
    member.refresh_from_db()
    assert member.dip_card_at is not None


def test_it_does_not_come_back_and_the_first_time_stays(client, member):
    client.force_login(member)
    client.post("/dip-card/seen/", {"key": uuid4()})
    member.refresh_from_db()
    first = member.dip_card_at
    client.post("/dip-card/seen/", {"key": uuid4()})
    member.refresh_from_db()
    assert member.dip_card_at == first


def test_it_stands_in_nobodys_way(client, member):
    fill = in_use()
    client.force_login(member)
    answer = client.post("/shelf/B02/stir/", {"fill": fill.pk, "key": uuid4()})
    assert answer.status_code == 303
    said = page(client, member).content.decode()
    assert said.index("I stirred it") < said.index("New here?")


@pytest.mark.parametrize(
    "elsewhere", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)", ""]
)
def test_it_leads_back_into_this_house_only(client, member, elsewhere):
    client.force_login(member)
    answer = client.post("/dip-card/seen/", {"key": uuid4(), "next": elsewhere})
    assert answer["Location"] == "/dip-card/"


def test_technicians_and_strangers_are_not_asked_to_read_it(client, technician):
    in_use()
    assert "New here?" not in text(page(client, technician))
    client.logout()
    said = text(client.get("/shelf/B02/"))
    assert "New here?" not in said
    assert "How to dip here" in said
