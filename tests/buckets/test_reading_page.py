"""A reading through the page: weighed or typed, what it says afterwards, and the next act."""

import html
import re
from decimal import Decimal
from uuid import uuid4

import pytest

from buckets.models import Reading
from tests.buckets.rows import fine_scale, flask, in_use
from tests.factories import GlassFactory, ScaleFactory

pytestmark = pytest.mark.django_db


def text(answer) -> str:
    bare = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(bare).replace("\xa0", " "))


def weigh(client, fill, gross: str, glass, **more):
    said = {
        "fill": fill.pk,
        "key": uuid4(),
        "glass": glass.pk,
        "scale": fine_scale().pk,
        "gross_g_0": gross,
        "gross_g_1": "g",
        **more,
    }
    return client.post(f"/shelf/{fill.vessel.code}/reading/", said, follow=True)


def test_outside_leads_to_the_water_as_in_scenario_a2(client, technician):
    fill = in_use(litres="4.2")
    client.force_login(technician)
    answer = weigh(client, fill, "209,9", flask(), depth_cm="8,0")
    reading = Reading.objects.latest("id")
    assert answer.redirect_chain == [(f"/shelf/B02/readings/{reading.pk}/", 303)]
    page = text(answer)
    for said in ("Outside: too thick", "1.520 ± 0.004", "+0.07", "of water", "Water in"):
        assert said in page
    assert reading.raw.startswith("glass=")
    assert "gross_g=209,9 g" in reading.raw
    assert "fill=" not in reading.raw


def test_a_member_measures_twice_as_in_scenario_b(client, member):
    fill = in_use("B09", glaze="Peat Pool", target_sg=Decimal("1.46"))
    client.force_login(member)
    cylinder = flask("Cylinder", "100", "0.50", "66.3")
    page = text(weigh(client, fill, "213.8", cylinder))
    # B2: undecided, chance inside 88 %
    for said in ("Undecided", "1.475 ± 0.009", "88 %", "with the largest flask", "member’s reading"):
        assert said in page
    large = flask("Flask 250", "250", "1", "92.7")
    page = text(weigh(client, fill, "460.2", large))
    # B3: 1.470, U 0.0068, inside; a member's reading, fit to dip after a stir
    for said in ("Inside the window", "1.470 ± 0.007", "they differ by 0.005 and agree", "Stir first"):
        assert said in page


def test_two_readings_of_one_stir_give_their_mean_as_in_scenario_a8(client, technician):
    fill = in_use()
    client.force_login(technician)
    cylinder = flask("Cylinder A", "100", "0.5", "60")
    weigh(client, fill, "205.2", cylinder)
    page = text(weigh(client, fill, "205.0", cylinder))
    # A8: 1.452 and 1.450 agree within 0.01, mean 1.4510, inside
    assert "1.452 by Bram" in page
    assert "Mean 1.451, inside" in page
    page = text(weigh(client, fill, "207.0", cylinder))
    assert "more than the 0.010 two readings of one stir may" in page


def test_a_doubtful_number_is_offered_and_never_guessed(client, member):
    fill = in_use()
    client.force_login(member)
    said = {"fill": fill.pk, "key": str(uuid4()), "sg": "145"}
    answer = client.post("/shelf/B02/reading/", said)
    assert answer.status_code == 422
    page = html.unescape(answer.content.decode())
    assert 'type="radio" name="sg_pick" value="1.4500"' in page
    assert "145 g in 100 mL" in page
    assert not Reading.objects.exclude(sg=None).exists()
    answer = client.post("/shelf/B02/reading/", {**said, "sg_pick": "1.4500"})
    assert answer.status_code == 303
    row = Reading.objects.latest("id")
    assert (row.sg, row.raw) == (Decimal("1.45"), "sg=145; sg_pick=1.4500")


@pytest.mark.parametrize("typed", ["1,45", "1.45", "1.450", "1,450", "١٫٤٥"])
def test_a_plain_number_is_taken_as_typed(client, member, typed):
    fill = in_use()
    client.force_login(member)
    answer = client.post("/shelf/B02/reading/", {"fill": fill.pk, "key": uuid4(), "sg": typed})
    assert answer.status_code == 303
    assert Reading.objects.latest("id").sg == Decimal("1.45")


def test_the_form_says_whose_reading_it_will_be(client, technician, member):
    in_use()
    for who, said in ((technician, "the studio’s check and counts for 7"), (member, "a member’s reading")):
        client.force_login(who)
        assert said in text(client.get("/shelf/B02/reading/?way=weighed"))


def test_a_room_that_cannot_tell_says_so_before_anything_is_weighed(client, member):
    # slurry.md e: 100 mL class B (+- 1.00) with a 1 g scale: U 0.024, a window of 0.02 can't be verified
    in_use()
    GlassFactory(name="Class B", tolerance_ml="1.00")
    ScaleFactory()
    client.force_login(member)
    page = text(client.get("/shelf/B02/reading/?way=weighed"))
    assert "No glass and scale here can tell whether it is inside 1.430 to 1.470" in page
    flask()
    fine_scale()
    page = text(client.get("/shelf/B02/reading/?way=weighed"))
    assert "No glass and scale here" not in page
    assert "too coarse" in page


def test_after_weighing_with_a_pair_that_cannot_tell_the_page_names_it(client, member):
    fill = in_use()
    client.force_login(member)
    glass, scale = GlassFactory(name="Class B", tolerance_ml="1.00"), ScaleFactory()
    page = text(weigh(client, fill, "210.7", glass, scale=scale.pk))
    assert "with this pair nothing can be called inside" in page


def test_the_only_glass_fills_in_its_empty_weight(client, member):
    in_use()
    flask()
    fine_scale()
    client.force_login(member)
    page = client.get("/shelf/B02/reading/?way=weighed").content.decode()
    assert re.search(r'name="tare_g_0" value="58.2"', page)


def test_an_old_reading_opened_again_says_that_a_newer_one_stands(client, technician):
    fill = in_use()
    client.force_login(technician)
    weigh(client, fill, "205", flask("Cylinder A", "100", "0.5", "60"))
    old = Reading.objects.latest("id")
    weigh(client, fill, "205", flask("Cylinder A", "100", "0.5", "60"))
    assert "A newer reading stands" in text(client.get(f"/shelf/B02/readings/{old.pk}/"))
