"""A tile dipped and weighed: what it is kept as, who may, and for which buckets it speaks."""

import html
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from buckets.coating import tile_of
from buckets.models import Fill, Tile
from buckets.operations.care import water_in
from buckets.operations.coating import record_tile, take_back_tile
from buckets.operations.fills import empty_fill
from buckets.operations.readings import record_reading
from buckets.queries import fill_in
from studio import triggers
from studio.errors import NotAllowed, Refused
from studio.front.proof import shelf
from studio.people.models import Entry
from tests.buckets.rows import gannet, in_use
from tests.factories import BodyFactory

pytestmark = pytest.mark.django_db
D = Decimal


def peat_pool(code: str = "B09", **said) -> Fill:
    """Peat Pool of "demo_studio.md" 2: powder 2.722, target 1.46 +- 0.02."""
    facts = {"glaze": "Peat Pool", "particle_density": D("2.722"), "sg": D("1.46")}
    facts |= {"target_sg": D("1.46"), "half_window": D("0.02")}
    return in_use(code, **{**facts, **said})


def test_a_tile_weighed_at_once_counts_its_dry_share(technician):
    """slurry_checks.json n4: 82.0 g of slurry at 1.45 and 2.6 are 41.35 g dry, 0.0811 g/cm2 on 510 cm2."""
    fill = peat_pool(particle_density=D("2.6"), sg=D("1.45"))
    tile = record_tile(fill=fill, seconds=D(3), area_cm2=D("509.9"), gain_g=D(82), by=technician)
    assert (round(tile.dry_g, 2), tile.coat_g_per_cm2) == (D("41.35"), D("0.0811"))
    assert tile.sg == D("1.45")


def test_a_tile_weighed_dry_counts_as_it_is_whatever_the_powder(technician):
    fill = in_use("B09", glaze="Moss", sg=D("1.45"))
    tile = record_tile(fill=fill, seconds=D(3), area_cm2=D(100), dry_g=D(8), by=technician)
    assert (tile.dry_g, tile.coat_g_per_cm2) == (D(8), D("0.08"))
    with pytest.raises(Refused, match="Dry the tile and weigh it") as refused:
        record_tile(fill=fill, seconds=D(3), area_cm2=D(100), gain_g=D(16), by=technician)
    assert refused.value.field == "gain_g"


def test_two_tiles_of_one_stir_tell_the_film(technician):
    """slurry_checks.json j2: 2 s 0.066, 8 s 0.116: K 0.00125, film 0.016."""
    tiles = {"seconds": D(2), "coat_g_per_cm2": D("0.066")}
    tiles |= {"seconds_2": D(8), "coat_2_g_per_cm2": D("0.116")}
    record_tile(fill=peat_pool(), by=technician, **tiles)
    film, k = tile_of(fill_in("B09")).film_and_k()
    assert (round(film, 4), round(k, 6)) == (0.016, 0.00125)


def test_without_a_gravity_the_reading_that_stands_is_meant_but_not_after_water(technician):
    fill = peat_pool()
    record_reading(fill=fill, sg=D("1.472"), by=technician)
    assert record_tile(fill=fill, seconds=D(3), coat_g_per_cm2=D("0.085"), by=technician).sg == D("1.472")
    water_in(fill=fill, volume_l=D("0.2"), by=technician)
    with pytest.raises(Refused, match=r"changed after the reading of 1\.472") as refused:
        record_tile(fill=fill, seconds=D(3), coat_g_per_cm2=D("0.085"), by=technician)
    assert refused.value.field == "sg"
    told = record_tile(fill=fill, seconds=D(3), coat_g_per_cm2=D("0.08"), sg=D("1.46"), by=technician)
    assert told.sg == D("1.46")


def test_the_newest_tile_that_stands_counts_and_taken_back_the_one_before_counts_again(technician):
    fill = peat_pool()
    first = record_tile(
        fill=fill, seconds=D(3), coat_g_per_cm2=D("0.085"), by=technician, at=timezone.now() - timedelta(1)
    )
    second = record_tile(fill=fill, seconds=D(4), coat_g_per_cm2=D("0.085"), by=technician)
    fill.refresh_from_db()
    assert fill.tile == second
    back = take_back_tile(tile=second, reason="other bucket", by=technician)
    fill.refresh_from_db()
    assert (fill.tile, back.reverses, back.note) == (first, second, "other bucket")
    with pytest.raises(Refused):
        take_back_tile(tile=second, reason="again", by=technician)
    assert Tile.objects.count() == 3


def test_a_new_filling_of_the_same_recipe_begins_with_the_newest_tile_of_that_recipe(technician):
    old = in_use("B02", recipe=gannet(), sg=D("1.45"))
    record_tile(fill=old, seconds=D(3), coat_g_per_cm2=D("0.08"), by=technician)
    empty_fill(fill=old, why="to reclaim", by=technician)
    new = in_use("B02", recipe=gannet(), sg=D("1.46"), at=timezone.now() - timedelta(hours=1))
    said = tile_of(fill_in("B02"))
    assert (said.own, said.coat, new.tile) == (False, D("0.08"), None)
    in_use("B03", glaze="Moss", sg=D("1.45"))
    assert tile_of(fill_in("B03")) is None
    record_tile(fill=new, seconds=D(4), coat_g_per_cm2=D("0.09"), by=technician)
    said = tile_of(fill_in("B02"))
    assert (said.own, said.coat) == (True, D("0.09"))


def test_a_tile_of_the_recipe_that_was_taken_back_speaks_for_nobody(technician):
    old = in_use("B02", recipe=gannet(), sg=D("1.45"))
    tile = record_tile(fill=old, seconds=D(3), coat_g_per_cm2=D("0.08"), by=technician)
    in_use("B03", recipe=gannet(), sg=D("1.45"))
    assert tile_of(fill_in("B03")).pk == tile.pk
    take_back_tile(tile=tile, reason="wrong scale", by=technician)
    assert tile_of(fill_in("B03")) is None


def test_a_helper_signed_off_for_wet_mixing_may_and_a_member_may_not(helper, member):
    fill = peat_pool()
    with pytest.raises(NotAllowed):
        record_tile(fill=fill, seconds=D(3), coat_g_per_cm2=D("0.085"), by=member)
    tile = record_tile(fill=fill, seconds=D(3), coat_g_per_cm2=D("0.085"), by=helper)
    with pytest.raises(NotAllowed):
        take_back_tile(tile=tile, reason="not mine", by=member)


def test_the_same_key_twice_is_one_tile(technician):
    fill, key = peat_pool(), uuid4()
    told = {"fill": fill, "seconds": D(3), "coat_g_per_cm2": D("0.085"), "by": technician, "key": key}
    assert record_tile(**told) == record_tile(**told)
    assert Tile.objects.count() == 1


def test_a_tile_that_the_fill_does_not_carry_is_seen_by_the_proof(technician):
    fill = peat_pool()
    tile = record_tile(fill=fill, seconds=D(3), coat_g_per_cm2=D("0.085"), by=technician)
    assert not list(shelf.problems())
    with triggers.lifted():
        Fill.objects.filter(pk=fill.pk).update(tile=None)
    assert [f"carries tile_id None, its history says {tile.pk}." in str(p) for p in shelf.problems()] == [
        True
    ]
    Fill.objects.filter(pk=fill.pk).update(tile=tile)


@pytest.mark.parametrize(
    ("said", "field", "words"),
    [
        ({}, "gain_g", "one of the three"),
        ({"coat_g_per_cm2": D("0.08"), "dry_g": D(8), "area_cm2": D(100)}, "gain_g", "Which of these counts"),
        ({"gain_g": D(16)}, "area_cm2", "glazed surface"),
        ({"dry_g": D(8)}, "area_cm2", "glazed surface"),
        ({"dry_g": D(800), "area_cm2": D(100)}, "dry_g", "coat of 8"),
        ({"gain_g": D("0.1"), "area_cm2": D(100)}, "gain_g", "Are area and weights right"),
        ({"coat_g_per_cm2": D("0.8")}, "coat_g_per_cm2", "between 0.005"),
        ({"coat_g_per_cm2": D("0.08"), "sg": D("3")}, "sg", "between 1.00 and 2.72"),
        ({"coat_g_per_cm2": D("0.08"), "seconds": D(0)}, "seconds", "more than 0"),
        ({"coat_g_per_cm2": D("0.08"), "target_g_per_cm2": D(1)}, "target_g_per_cm2", "coat of 1"),
        ({"coat_g_per_cm2": D("0.08"), "coat_2_g_per_cm2": D("0.1")}, "seconds_2", "second tile"),
        ({"coat_g_per_cm2": D("0.08"), "seconds_2": D(6)}, "gain_2_g", "one of the three"),
        (
            {"coat_g_per_cm2": D("0.08"), "seconds_2": D(3), "coat_2_g_per_cm2": D("0.08")},
            "seconds_2",
            "other seconds",
        ),
        (
            {"coat_g_per_cm2": D("0.08"), "seconds_2": D(6), "coat_2_g_per_cm2": D("0.07")},
            "seconds_2",
            "do not go together",
        ),
        (
            {"coat_g_per_cm2": D("0.08"), "seconds_2": D(4), "coat_2_g_per_cm2": D("0.3")},
            "seconds_2",
            "not by more than its seconds explain",
        ),
        ({"coat_g_per_cm2": D("0.08"), "at": timezone.now() + timedelta(days=1)}, "at", "still to come"),
    ],
)
def test_a_tile_that_cannot_be_is_refused_beside_its_field(technician, said, field, words):
    fill = peat_pool()
    with pytest.raises(Refused, match=words) as refused:
        record_tile(fill=fill, by=technician, **{"seconds": D(3), **said})
    assert refused.value.field == field
    assert not Tile.objects.exists()


# --- pages --------------------------------------------------------------------------------------------


def shown(answer) -> str:
    return html.unescape(answer.content.decode()).replace("\xa0", " ")


def send(client, fill: Fill, **said: str):
    return client.post(reverse("record-tile", args=["B09"]), {"fill": fill.pk, "key": str(uuid4()), **said})


def test_a_tile_through_its_page_and_back(client, technician):
    fill, body = peat_pool(), BodyFactory()
    client.force_login(technician)
    weighed = {"seconds": "3", "area_cm2": "82", "gain_g_0": "13,8", "gain_g_1": "g", "body": str(body.pk)}
    answer = send(client, fill, **weighed)
    assert (answer.status_code, answer.url) == (303, "/shelf/B09/")
    bucket = shown(client.get("/shelf/B09/"))
    assert "Tile kept: 3 s gave 0.0838 g/cm² at SG 1.460." in bucket
    assert "dipped for 3 s" in bucket
    tile = Tile.objects.get()
    assert (tile.body, "gain_g=13,8 g" in tile.raw) == (body, True)
    page = shown(client.get(reverse("coats", args=["B09"])))
    back = reverse("take-back-tile", args=["B09", tile.pk])
    assert back in page
    assert "counts" in page
    answer = client.post(back, {"key": str(uuid4()), "reason": "smudged"}, follow=True)
    assert "taken back" in shown(answer)
    assert "smudged" in shown(answer)
    fill.refresh_from_db()
    assert fill.tile is None


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"seconds": ""}, "seconds"),
        ({"seconds": "0"}, "seconds"),
        ({"seconds": "-3"}, "seconds"),
        ({"seconds": "three"}, "seconds"),
        ({"seconds": "601"}, "seconds"),
        ({"seconds": "nan"}, "seconds"),
        ({"seconds": "9" * 50}, "seconds"),
        ({"seconds": "<b>3</b>"}, "seconds"),
        ({"sg": "145"}, "sg"),
        ({"sg": "0.9"}, "sg"),
        ({"sg": "thick"}, "sg"),
        ({"body": "999999"}, "body"),
        ({"body": "porcelain"}, "body"),
        ({"body": "-1"}, "body"),
        ({"area_cm2": "0"}, "area_cm2"),
        ({"area_cm2": "10001"}, "area_cm2"),
        ({"gain_g_0": "some", "gain_g_1": "g"}, "gain_g"),
        ({"gain_g_0": "-1", "gain_g_1": "g"}, "gain_g"),
        ({"gain_g_0": "0", "gain_g_1": "g"}, "gain_g"),
        ({"gain_g_0": "51", "gain_g_1": "kg"}, "gain_g"),
        ({"gain_g_0": "5", "gain_g_1": "pint"}, "gain_g"),
        ({"gain_g_0": "1,", "gain_g_1": "g"}, "gain_g"),
        ({"coat_g_per_cm2": "8"}, "coat_g_per_cm2"),
        ({"coat_g_per_cm2": "0.001"}, "coat_g_per_cm2"),
        ({"target_g_per_cm2": "much"}, "target_g_per_cm2"),
        ({"note": "n" * 201}, "note"),
    ],
)
def test_wrong_input_is_answered_beside_its_field_and_writes_nothing(client, technician, said, field):
    fill = peat_pool()
    client.force_login(technician)
    before = Entry.objects.count()
    answer = send(client, fill, **{"seconds": "3", **said})
    assert answer.status_code == 422
    assert field in answer.context["form"].errors, answer.context["form"].errors
    assert (Tile.objects.count(), Entry.objects.count()) == (0, before)
    for value in said.values():
        assert value in ("pint", "kg", "999999", "porcelain", "-1", "") or value in shown(answer)


def test_a_form_of_another_bucket_keeps_no_tile(client, technician):
    peat_pool()
    other = in_use("B02", glaze="Moss", sg=D("1.45"))
    client.force_login(technician)
    answer = send(client, other, seconds="3", coat_g_per_cm2="0.08")
    assert answer.status_code == 422
    assert not Tile.objects.exists()
