"""Dipping: the seconds on the bucket's page, coats on a wall, what a piece takes.

Scenarios of "day_in_the_room.md"; Peat Pool, its tile and its wall are those of B.
"""

import html
import re
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from buckets.coating import one_coat, tile_of
from buckets.models import Use
from buckets.operations.care import stir, water_in
from buckets.operations.coating import record_tile
from buckets.operations.fills import empty_fill
from buckets.operations.readings import record_reading
from buckets.queries import fill_in
from buckets.walls import Asked, told
from studio.room import policy
from tests.buckets.rows import in_use
from tests.buckets.test_tiles import peat_pool
from tests.factories import BodyFactory

pytestmark = pytest.mark.django_db
D = Decimal
CUP = {"under": "one", "cup_sg": "1.38", "coat_g_per_cm2": "0.045"}


def shown(answer) -> str:
    bare = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    bare = re.sub(r"\s+", " ", html.unescape(bare).replace("\xa0", " "))
    return re.sub(r" ([.,;:])", r"\1", bare)


@pytest.fixture
def peat(technician):
    """B09 at 1.470, its tile at 1.46: 3 s gave 0.085 g/cm2, on the wall of scenario B."""
    fill = peat_pool()
    tile = {"seconds": D(3), "sg": D("1.46"), "coat_g_per_cm2": D("0.085"), "body": BodyFactory()}
    record_tile(fill=fill, by=technician, at=timezone.now() - timedelta(hours=2), **tile)
    record_reading(fill=fill, sg=D("1.470"), u_sg=D("0.0034"), volume_l=D("8.83"), by=technician)
    return fill


def coats(client, **asked: str) -> str:
    answer = client.get(reverse("coats", args=["B09"]), asked)
    assert answer.status_code == 200
    return shown(answer)


def test_the_bucket_says_about_how_long_to_dip_at_the_gravity_it_has_now(client, member, peat):
    """B step 4: K 0.002408 -> 0.002524, 2.86 s shown "about 2.9 s"; until when the stir holds."""
    client.force_login(member)
    page = shown(client.get("/shelf/B09/"))
    assert "About 2.9 s for one coat at SG 1.470, on Buff stoneware." in page
    for said in ("0.002408 g²/cm⁴/s at SG 1.460", "0.002524", "2.86 s", "Touch test first", "gum in it"):
        assert said in page
    stir(fill=peat, by=member, at=timezone.now() - timedelta(hours=1))
    for then in (page, shown(client.get("/shelf/B09/"))):
        assert "The stir holds" not in then
        assert "Stir to the floor first." in then
    stir(fill=peat, by=member)
    assert re.search(r"The stir holds until (tomorrow )?\d\d:\d\d\.", shown(client.get("/shelf/B09/")))


def test_the_bucket_says_about_how_many_pieces_are_left_to_dip_in(client, member, peat):
    """By hand: 8.83 L less the 5.33 L of 10 cm, each 430 x 0.085 / 0.74294 + 4 mL = 53.2 mL: 65."""
    client.force_login(member)
    assert "About 65 usual pieces of 430 cm² are left, keeping 10 cm to dip in." in shown(
        client.get("/shelf/B09/")
    )


def test_a_bucket_not_to_be_used_says_so_beside_its_seconds(client, member, technician, peat):
    client.force_login(member)
    assert "Not now: do not use it." not in shown(client.get("/shelf/B09/"))
    record_reading(fill=peat, sg=D("1.520"), u_sg=D("0.0034"), by=technician)
    assert "Not now: do not use it." in shown(client.get("/shelf/B09/"))


def test_after_water_the_seconds_wait_for_a_reading(client, technician, peat):
    water_in(fill=peat, volume_l=D("0.2"), by=technician)
    client.force_login(technician)
    page = shown(client.get("/shelf/B09/"))
    assert "It was changed after the last reading" in page
    assert "About 2.9 s" not in page


def test_without_a_tile_the_bucket_says_so_and_what_to_do(client, technician):
    peat_pool()
    client.force_login(technician)
    page = client.get("/shelf/B09/")
    assert "No tile of it has been dipped and weighed yet" in shown(page)
    assert reverse("record-tile", args=["B09"]) in page.content.decode()


def test_too_far_from_its_tile_nothing_is_reckoned(technician, peat):
    fill, rules = fill_in("B09"), policy.in_force()
    assert "too far from 1.570" in one_coat(fill, tile_of(fill), 1.57, rules)
    assert one_coat(fill, tile_of(fill), 1.56, rules).seconds < 2


def test_a_second_coat_from_a_thinned_cup(client, member, peat):
    """B step 6: 5.8 s; ratios 1.01 and 0.63, damp 1.72 h; coat 2 will not build; 2.31 h and 3.01 h."""
    client.force_login(member)
    page = coats(client, **CUP)
    for said in (
        "About 5.8 s over its own kind, for 0.045 g/cm² at SG 1.380 from the cup, if the wall still draws.",
        "The coat that is on stays damp for about 2 h",
        "Put on now, the next coat will not form: only a film will hold.",
        "The wall can form about 0.0003 g/cm² of it now.",
        "Come back in about 4 h or tomorrow; touch test first.",
        "build ratio 1.01, dry ratio 0.63, damp for 1.72 h",
        "build ratio 0.01",
        "wait at least 2.31 h, with 30 % margin 3.01 h",
        "lower bounds",
    ):
        assert said in page


def test_the_numbers_behind_the_second_coat(technician, peat):
    """B step 6, with what the program keeps beside its sentences."""
    asked = Asked(sg=D("1.38"), coat=0.045, under=0.0, body=BodyFactory(), faces=2)
    wall = told(fill_in("B09"), asked, policy.in_force()).wall
    assert (wall.under.verdict, wall.next.verdict) == ("uncertain", "will_not_build")
    assert (round(wall.damp_h, 2), round(wall.least_h, 2), round(wall.advised_h, 2)) == (1.72, 2.31, 3.01)


def test_hours_that_have_passed_are_taken_off_the_wait(client, member, peat):
    client.force_login(member)
    page = coats(client, **CUP, hours="2.9")
    assert "Come back in about 0.5 h; touch test first." in page
    assert "is no longer damp, by reckoning" in page
    assert "no wait is needed" in coats(client, **CUP, hours="3.1")


def test_the_first_coat_is_asked_of_the_wall_with_the_bodys_usual_wall(client, member, peat):
    client.force_login(member)
    page = coats(client)
    assert "About 2.9 s on bare bisque, for 0.085 g/cm² at SG 1.470." in page
    assert "It is too close to call: touch test, and try it on the tile first." in page
    assert "goes on, and its sheen leaves by itself" in coats(client, wall_mm="12", faces="1")


def test_a_thin_wall_that_never_has_room_is_said_so_and_no_wait_is_promised(client, member, peat):
    """The practice fact of thin porcelain: layering_checks.json p9c is such a cup."""
    client.force_login(member)
    page = coats(client, wall_mm="2")
    assert "no wait helps" in page
    assert "Come back in" not in page
    assert "Before one more like it" not in page


def test_without_a_body_there_are_seconds_and_no_word_about_the_wall(client, member, peat):
    client.force_login(member)
    page = coats(client, body="")
    assert "About 2.9 s on bare bisque" in page
    assert "Choose a clay body" in page


def test_a_body_without_its_numbers_says_which_are_missing(client, member, peat):
    bare = BodyFactory(name="Porcelain", absorption_pct=None, bulk_density=None, wall_mm=None)
    half = BodyFactory(name="Speckled", drying_g_per_cm2_h=None)
    client.force_login(member)
    missing = "Of Porcelain it is not known: absorption, bulk density, how thick the wall is."
    assert missing in coats(client, body=str(bare.pk))
    page = coats(client, body=str(half.pk))
    assert "Speckled has no drying rate, so no wait can be said." in page
    second = coats(client, **CUP, body=str(half.pk))
    assert "Put on now, the next coat will not form" in second
    for hours in ("The coat that is on", "damp for", "wait at least"):
        assert hours not in second
    assert "too close to call" in page


def test_so_much_as_was_said_is_on_it(client, member, peat):
    """layering 3e by hand: ((0.08 + 0.085)^2 - 0.08^2) / 0.002524 = 8.25 s."""
    client.force_login(member)
    for asked in ({"under_g_per_cm2": "0.08"}, {"under": "typed", "under_g_per_cm2": "0.08"}):
        assert "About 8.3 s over its own kind" in coats(client, **asked)


def test_over_another_glaze_both_tiles_count(client, member, technician, peat):
    """layering 3e: by the same formula as p15; over itself it would be 5.8 s."""
    slate = in_use("B06", glaze="Slate Hour", particle_density=D("2.667"), sg=D("1.46"))
    record_tile(fill=slate, seconds=D(3), coat_g_per_cm2=D("0.070"), by=technician)
    client.force_login(member)
    page = coats(client, **CUP, under_fill=str(slate.pk))
    seconds = float(re.search(r"About ([\d.]+) s over Slate Hour", page).group(1))
    assert seconds > 1
    assert seconds != 5.8
    moss = in_use("B03", glaze="Moss", sg=D("1.45"))
    page = coats(client, **CUP, under_fill=str(moss.pk))
    assert "Moss below: No tile of it has been dipped" in page


def test_one_coat_of_slate_hour_for_a_platter(client, member, technician):
    """F step 1: tile 0.080 in 3 s at 1.46, wanted 0.070: 2.30 s."""
    fill = in_use("B06", glaze="Slate Hour", particle_density=D("2.667"), sg=D("1.46"))
    tile = {"seconds": D(3), "coat_g_per_cm2": D("0.080"), "target_g_per_cm2": D("0.070")}
    record_tile(fill=fill, by=technician, **tile)
    client.force_login(member)
    page = shown(client.get("/shelf/B06/"))
    assert "About 2.3 s for one coat at SG 1.460." in page
    assert "= 2.3 s" in page


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"body": "999999"}, "body"),
        ({"body": "buff"}, "body"),
        ({"wall_mm": "0"}, "wall_mm"),
        ({"wall_mm": "-5"}, "wall_mm"),
        ({"wall_mm": "101"}, "wall_mm"),
        ({"wall_mm": "thick"}, "wall_mm"),
        ({"wall_mm": "nan"}, "wall_mm"),
        ({"wall_mm": "9" * 50}, "wall_mm"),
        ({"faces": "3"}, "faces"),
        ({"faces": "both"}, "faces"),
        ({"faces": "0"}, "faces"),
        ({"under": "two"}, "under"),
        ({"under": "typed"}, "under_g_per_cm2"),
        ({"under": "nothing", "under_g_per_cm2": "0.08"}, "under"),
        ({"under": "one", "under_g_per_cm2": "0.08"}, "under"),
        ({"under_g_per_cm2": "8"}, "under_g_per_cm2"),
        ({"under_fill": "-1"}, "under_fill"),
        ({"under_fill": "999999"}, "under_fill"),
        ({"hours": "-1"}, "hours"),
        ({"hours": "1001"}, "hours"),
        ({"cup_sg": "1"}, "cup_sg"),
        ({"cup_sg": "138"}, "cup_sg"),
        ({"cup_sg": "thin"}, "cup_sg"),
        ({"coat_g_per_cm2": "0"}, "coat_g_per_cm2"),
        ({"coat_g_per_cm2": "1"}, "coat_g_per_cm2"),
        ({"coat_g_per_cm2": "a card"}, "coat_g_per_cm2"),
        ({"coat_g_per_cm2": "0.08 mm"}, "coat_g_per_cm2"),
    ],
)
def test_a_question_that_cannot_be_is_answered_beside_its_field(client, member, peat, asked, field):
    client.force_login(member)
    answer = client.get(reverse("coats", args=["B09"]), asked)
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert "told" not in answer.context


# --- what a piece takes -------------------------------------------------------------------------------


def drag(client, **asked: str):
    return client.get(reverse("drag-out", args=["B09"]), asked)


def test_two_pieces_by_their_surface_and_coat_are_noted_as_used(client, member, peat):
    """B step 8: 2 pieces of 430 cm2 at 0.085: 0.098 L."""
    client.force_login(member)
    answer = drag(client, area_cm2="430", pieces="2", coat_g_per_cm2="0.085")
    assert "2 pieces 98 mL" in shown(answer)
    form = re.search(
        r'<form method="post" action="/shelf/B09/used/">.*?</form>', answer.content.decode(), re.S
    )
    hidden = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form.group(0)))
    hidden.pop("csrfmiddlewaretoken", None)
    assert client.post("/shelf/B09/used/", hidden).status_code == 303
    use = Use.objects.get()
    assert (use.volume_l, use.pieces) == (D("0.098"), 2)


def test_the_coat_the_glaze_wants_is_meant_when_none_is_said(client, member, peat):
    client.force_login(member)
    assert "0.085 g/cm²" in shown(drag(client, area_cm2="430"))


def test_a_piece_weighed_before_and_at_once_after_is_kept_as_a_tile(client, technician, peat):
    client.force_login(technician)
    answer = drag(
        client, area_cm2="82", before_g_0="100", before_g_1="g", after_g_0="113.8", after_g_1="g", seconds="3"
    )
    page = answer.content.decode()
    form = re.search(r'<form method="post" action="/shelf/B09/tiles/dip/">.*?</form>', page, re.S).group(0)
    hidden = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    hidden.pop("csrfmiddlewaretoken", None)
    assert client.post("/shelf/B09/tiles/dip/", hidden).status_code == 303
    peat.refresh_from_db()
    # by hand: 13.8 g x 0.5054 dry at 1.470 = 6.97 g on 82 cm2
    assert (peat.tile.coat_g_per_cm2, peat.tile.sg) == (D("0.0851"), D("1.470"))


def test_a_member_keeps_no_tile_from_it(client, member, peat):
    client.force_login(member)
    weighed = {"before_g_0": "100", "before_g_1": "g", "after_g_0": "113.8", "after_g_1": "g"}
    page = drag(client, area_cm2="82", seconds="3", **weighed).content.decode()
    assert "Keep it as a tile" not in page
    assert "Note it as used" in page


def test_common_forms_have_their_surface(client, member, peat):
    """slurry_checks.json n2 has the mug; a plate without a rim is two discs, a tile its sides."""
    client.force_login(member)
    mug = drag(client, shape="mug", diameter_cm="8.5", height_cm="9.5", piece_wall_mm="5").context["drawn"]
    assert round(mug["area"], 1) == round(3.141592653589793 * (8.5 * 9.5 + 7.5 * 9 + 7.5**2 / 4), 1)
    plate = drag(client, shape="plate", diameter_cm="20").context["drawn"]
    assert plate["area"] == 628.3
    tile = drag(client, shape="tile", diameter_cm="8.2", height_cm="10").context["drawn"]
    assert tile["area"] == 82
    bowl = drag(client, shape="bowl", diameter_cm="14", height_cm="7", piece_wall_mm="5").context["drawn"]
    assert 500 < bowl["area"] < 600


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"pieces": "2"}, "area_cm2"),
        ({"area_cm2": "0"}, "area_cm2"),
        ({"area_cm2": "-4"}, "area_cm2"),
        ({"area_cm2": "large"}, "area_cm2"),
        ({"area_cm2": "100001"}, "area_cm2"),
        ({"area_cm2": "inf"}, "area_cm2"),
        ({"shape": "jug"}, "shape"),
        ({"shape": "mug", "diameter_cm": "8", "height_cm": "9"}, "piece_wall_mm"),
        ({"shape": "mug", "diameter_cm": "8", "height_cm": "9", "piece_wall_mm": "40"}, "piece_wall_mm"),
        ({"shape": "bowl", "height_cm": "9", "piece_wall_mm": "4"}, "diameter_cm"),
        ({"shape": "plate", "diameter_cm": "20", "well_cm": "22"}, "diameter_cm"),
        ({"shape": "tile", "diameter_cm": "8", "height_cm": "0"}, "height_cm"),
        ({"area_cm2": "430", "pieces": "0"}, "pieces"),
        ({"area_cm2": "430", "pieces": "1001"}, "pieces"),
        ({"area_cm2": "430", "pieces": "1.5"}, "pieces"),
        ({"area_cm2": "430", "pieces": "two"}, "pieces"),
        ({"area_cm2": "430", "before_g_0": "100", "before_g_1": "g"}, "after_g"),
        ({"area_cm2": "430", "after_g_0": "100", "after_g_1": "g"}, "before_g"),
        (
            {"area_cm2": "9", "before_g_0": "100", "before_g_1": "g", "after_g_0": "99", "after_g_1": "g"},
            "after_g",
        ),
        ({"area_cm2": "430", "before_g_0": "x", "before_g_1": "g"}, "before_g"),
        ({"area_cm2": "430", "before_g_0": "5", "before_g_1": "stone"}, "before_g"),
        ({"area_cm2": "430", "seconds": "0"}, "seconds"),
        ({"area_cm2": "430", "coat_g_per_cm2": "9"}, "coat_g_per_cm2"),
    ],
)
def test_a_piece_that_cannot_be_is_answered_beside_its_field(client, member, peat, asked, field):
    client.force_login(member)
    answer = drag(client, **asked)
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert "drawn" not in answer.context


# --- doors, queries, API ------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["bucket", "coats", "drag-out", "record-tile"])
def test_pages_are_at_most_twelve_queries(client, technician, peat, name, django_assert_max_num_queries):
    for number in range(5):
        record_tile(fill=peat, seconds=D(3 + number), coat_g_per_cm2=D("0.08"), by=technician)
    client.force_login(technician)
    with django_assert_max_num_queries(12):
        assert client.get(reverse(name, args=["B09"])).status_code == 200


def test_an_empty_bucket_sends_to_its_own_page(client, member, peat, technician):
    empty_fill(fill=peat, why="to reclaim", by=technician)
    client.force_login(member)
    for name in ("coats", "drag-out"):
        assert client.get(reverse(name, args=["B09"])).url == "/shelf/B09/"


def test_a_stranger_sees_the_seconds_and_no_way_further(client, peat):
    page = client.get("/shelf/B09/")
    assert "About 2.9 s" in shown(page)
    assert reverse("coats", args=["B09"]) not in page.content.decode()
    assert client.get(reverse("coats", args=["B09"])).status_code == 302


def test_a_program_asks_the_same_question(client, member, peat):
    client.force_login(member)
    asked = {**CUP, "body": BodyFactory().pk}
    said = client.get(f"/api/v1/fills/{peat.pk}/dip-time/", asked).json()
    assert (round(said["seconds_over"], 1), said["over"]) == (5.8, "over its own kind")
    assert (said["wall"]["verdict"], round(said["wall"]["advised_wait_h"], 2)) == ("will_not_build", 3.01)
    plain = client.get(f"/api/v1/fills/{peat.pk}/dip-time/").json()
    assert (round(plain["seconds"], 2), plain["wall"], plain["seconds_over"]) == (2.86, None, None)
    assert client.get(f"/api/v1/fills/{peat.pk}/dip-time/", {"wall_mm": "thick"}).status_code == 400
    assert client.get(f"/api/v1/fills/{peat.pk}/dip-time/", {"clay": "buff"}).status_code == 400
    unknown = in_use("B03", glaze="Moss")
    assert "No tile" in client.get(f"/api/v1/fills/{unknown.pk}/dip-time/").json()["why_not"]


def test_programs_list_tiles_with_what_took_them_back(client, member, peat):
    client.force_login(member)
    rows = client.get(f"/api/v1/fills/{peat.pk}/tiles/").json()["results"]
    assert [(row["seconds"], row["coat_g_per_cm2"], row["reverses"]) for row in rows] == [
        ("3.0", "0.0850", None)
    ]
    key = {"HTTP_IDEMPOTENCY_KEY": str(uuid4())}
    assert client.get(f"/api/v1/tiles/{rows[0]['id']}/", **key).json()["sg"] == "1.4600"
