"""Every way people measure a gravity: through the form, with instrument, temperature and doubt kept."""

import html
import re
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from buckets.models import Reading
from buckets.operations import care
from buckets.operations.readings import record_reading, take_back_reading
from buckets.queries import dip_check_of, fill_in, shelf_fills
from buckets.ways import BY_METHOD, WAYS
from studio.calc.gravity_scales import TOLD, told_from_sg
from studio.errors import Refused
from studio.room import policy
from studio.room.measuring import told
from tests.buckets.rows import fine_scale, flask, in_use
from tests.factories import GlassFactory, HydrometerFactory, ScaleFactory

pytestmark = pytest.mark.django_db

D = Decimal


def text(answer) -> str:
    bare = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(bare).replace("\xa0", " "))


def send(client, fill, way, follow=True, **said):
    data = {"fill": fill.pk, "key": uuid4(), "way": BY_METHOD[way].method if way else "", **said}
    return client.post(f"/shelf/{fill.vessel.code}/reading/", data, follow=follow)


def newest() -> Reading:
    return Reading.objects.latest("id")


# --- chosen first -------------------------------------------------------------------------------------


def test_somebody_who_never_measured_is_asked_how_first(client, member):
    in_use()
    client.force_login(member)
    page = client.get("/shelf/B02/reading/")
    assert "How do you measure?" in text(page)
    for way in WAYS:
        assert f"?way={way.slug}" in page.content.decode()
    assert "name=" not in re.sub(
        r'name="(viewport|q|csrf\w*|next)"', "", page.content.decode().split("<main")[1]
    )


def test_the_last_way_of_this_person_stands_first_and_opens_at_once(client, member, technician):
    fill = in_use()
    client.force_login(member)
    send(client, fill, Reading.Method.TWADDELL, as_read="90")
    page = client.get("/shelf/B02/reading/")
    assert 'name="as_read"' in page.content.decode()
    assert "How do you measure? Degrees Twaddell" in text(page)
    asked = client.get("/shelf/B02/reading/?way=").content.decode()
    assert asked.index("?way=twaddell") < asked.index("?way=weighed")
    assert "your last" in asked
    client.force_login(technician)
    assert "your last" not in client.get("/shelf/B02/reading/?way=").content.decode()


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.slug)
def test_each_way_shows_its_own_fields_only(client, member, way):
    in_use()
    flask()
    fine_scale()
    HydrometerFactory()
    client.force_login(member)
    page = client.get(f"/shelf/B02/reading/?way={way.slug}").content.decode()
    every = {"tare_g_0", "gross_g_0", "water_g_0", "as_read", "modulus", "hydrometer", "sg"}
    own = {f"{name}_0" if name.endswith("_g") else name for name in way.fields}
    for name in every:
        assert (f'name="{name}"' in page) == (name in own), name
    assert 'name="temperature_c"' in page


# --- what each comes to -------------------------------------------------------------------------------


def test_the_same_vessel_against_water_needs_no_volume(client, member):
    fill = in_use()
    client.force_login(member)
    # SG 1.45 against water at 20 C is 1.4474 g/mL (slurry.md 0.1, a4); u: uncertainty_of_ratio, 0.1 mL fill
    glass = flask("Old flask", "100", "0.5", "60")
    page = text(
        send(
            client,
            fill,
            Reading.Method.AGAINST_WATER,
            glass=glass.pk,
            scale=fine_scale().pk,
            tare_g_0="60",
            tare_g_1="g",
            water_g_0="160",
            water_g_1="g",
            gross_g_0="205",
            gross_g_1="g",
            temperature_c="20",
        )
    )
    row = newest()
    assert row.sg == D("1.4474")
    # by hand: 2 x sqrt(0.01/3 x (1 + 1.45^2 + 0.45^2) / 100^2 + 2 x (1.45 x 0.1 / 100.18)^2) x 0.9982
    assert 2 * float(row.u_sg) == pytest.approx(0.00462, abs=5e-5)
    assert (row.water_g, row.tare_g, row.gross_g, row.glass) == (160, 60, 205, glass)
    assert row.temperature_c == 20
    for said in ("volume cancels", "it is 1.450", "0.9982", "Tanaka"):
        assert said in page


def test_a_hydrometer_is_corrected_for_its_glass_and_its_water(client, member):
    fill = in_use()
    client.force_login(member)
    made = HydrometerFactory(calibrated_at_c=D("15.6"), water_reference_c=D("15.6"))
    page = text(
        send(client, fill, Reading.Method.HYDROMETER, hydrometer=made.pk, as_read="1,450", temperature_c="25")
    )
    row = newest()
    # e23: a 60/60 F hydrometer at 1.450 in a slurry of 25 C: 1.44823 g/mL
    assert row.sg == D("1.4482")
    assert 2 * float(row.u_sg) == pytest.approx(0.00258, abs=2e-5)
    assert (row.hydrometer, row.as_read, row.temperature_c) == (made, D("1.45"), 25)
    for said in ("Long hydrometer, made for 15.6 °C", "yield stress", "ISO 1768"):
        assert said in page


def test_a_hydrometer_without_a_temperature_is_asked_for_it(client, member):
    fill = in_use()
    client.force_login(member)
    row = HydrometerFactory()
    answer = send(client, fill, Reading.Method.HYDROMETER, follow=False, hydrometer=row.pk, as_read="1.45")
    assert answer.status_code == 422
    assert "says nothing without it" in " ".join(answer.context["form"].errors["temperature_c"])


def test_the_page_of_a_hydrometer_warns_of_yield_stress_and_settling(client, member):
    in_use()
    client.force_login(member)
    page = text(client.get("/shelf/B02/reading/?way=hydrometer"))
    assert "yield stress" in page
    assert "sinks while you read" in page


def test_heavy_baume_keeps_its_modulus(client, member):
    fill = in_use()
    client.force_login(member)
    send(client, fill, Reading.Method.BAUME, as_read="45", modulus="145")
    assert (newest().sg, newest().modulus, newest().u_sg) == (D("1.45"), 145, None)
    page = text(send(client, fill, Reading.Method.BAUME, as_read="44.7828", modulus="144.3"))
    assert (newest().sg, newest().modulus) == (D("1.45"), D("144.3"))  # slurry.md e, row 1.45
    assert "144.3 ÷ (144.3 − 44.7828)" in page


# slurry.md e, the row of 1.45: what each unit says there
TOLD_AT_145 = [
    (Reading.Method.TWADDELL, "90", "1 + 90 ÷ 200"),
    (Reading.Method.OZ_IMPERIAL, "29", "29 oz ÷ 20 oz"),
    (Reading.Method.OZ_US, "24.2017", "÷ 473.176 mL"),
    (Reading.Method.G_100ML, "145", "145 g ÷ 100 mL"),
    (Reading.Method.G_L, "1450", "1 450 g ÷ 1000 mL"),
    (Reading.Method.LB_US_GAL, "12.1008", "÷ 3785.41 mL"),
]


@pytest.mark.parametrize(("way", "typed", "formula"), TOLD_AT_145)
def test_a_number_told_in_a_unit_is_1_45(client, member, way, typed, formula):
    fill = in_use()
    client.force_login(member)
    page = text(send(client, fill, way, as_read=typed))
    row = newest()
    assert (row.sg, row.method, row.as_read) == (D("1.45"), way, D(typed))
    assert row.u_sg is None  # nobody knows what it was weighed in
    assert formula in page
    assert "1.450 ± 0.010" in page


def test_a_us_pint_divided_by_20_is_explained_as_the_trap_it_is(client, member):
    in_use()
    client.force_login(member)
    page = text(client.get("/shelf/B02/reading/?way=oz-imperial"))
    assert "17 % low" in page
    assert "0.22 % less" in page


def test_a_unit_weighed_in_a_known_vessel_has_a_doubt(client, member):
    fill = in_use()
    pint = GlassFactory(name="Pint jug", kind="vessel", volume_ml="568", tolerance_ml="3", empty_g="400")
    bulk = ScaleFactory()
    client.force_login(member)
    send(client, fill, Reading.Method.OZ_IMPERIAL, as_read="29", glass=pint.pk, scale=bulk.pk)
    # by hand: 1.45 x 3 / 568 / sqrt 3 = 0.00442, scale 1 g: sqrt(2/3)/568 = 0.00144; together 0.00465
    assert float(newest().u_sg) == pytest.approx(0.00465, abs=2e-5)
    assert newest().glass_id == pint.pk


def test_a_jug_that_holds_something_else_is_no_pint(client, member):
    fill = in_use()
    jug = GlassFactory(name="Jug", kind="vessel", volume_ml="590", tolerance_ml="5", empty_g="400")
    client.force_login(member)
    answer = send(client, fill, Reading.Method.OZ_IMPERIAL, follow=False, as_read="29", glass=jug.pk)
    assert answer.status_code == 422
    assert "Weigh it as a known volume instead" in " ".join(answer.context["form"].errors["glass"])


@given(unit=st.sampled_from(sorted(TOLD)), sg=st.floats(1.05, 2.1))
def test_every_unit_comes_back_to_the_gravity_it_was_told_for(unit, sg):
    as_read = D(repr(told_from_sg(unit=unit, sg=sg))).quantize(D("0.0001"))
    back = told(unit=unit, as_read=as_read, modulus=None, glass=None, scale=None).sg
    assert float(back) == pytest.approx(sg, abs=2e-4)


# --- edge cases 51 to 53 ------------------------------------------------------------------------------


def typed(client, fill, number, **more):
    return send(client, fill, Reading.Method.TYPED, follow=False, sg=number, **more)


def offered(answer) -> list[str]:
    return [str(c.sg) for c in answer.context["form"].candidates]


def test_51_a_slipped_decimal_mark_is_offered_and_taken_only_when_picked(client, member):
    fill = in_use()
    client.force_login(member)
    key = uuid4()
    answer = typed(client, fill, "14.5", key=key)
    assert answer.status_code == 422
    assert "1.4500" in offered(answer)
    assert "decimal mark one place to the left" in text(answer)
    assert not Reading.objects.filter(by=member).exists()
    assert typed(client, fill, "14.5", key=key, sg_pick="1.4500").status_code == 303
    row = newest()
    assert (row.sg, row.as_read, row.method) == (D("1.45"), D("14.5"), Reading.Method.TYPED)
    assert "sg=14.5" in row.raw


@pytest.mark.parametrize(
    ("number", "method"),
    [
        ("145", Reading.Method.G_100ML),
        ("1450", Reading.Method.G_L),
        ("29", Reading.Method.OZ_IMPERIAL),
        ("90", Reading.Method.TWADDELL),
        ("45", Reading.Method.BAUME),
    ],
)
def test_52_a_number_in_another_unit_is_offered_picked_and_kept_with_its_unit(client, member, number, method):
    fill = in_use()
    client.force_login(member)
    answer = typed(client, fill, number)
    assert answer.status_code == 422
    assert "1.4500" in offered(answer)
    assert not Reading.objects.filter(by=member).exists()
    assert typed(client, fill, number, sg_pick="1.4500").status_code == 303
    row = newest()
    assert (row.sg, row.method, row.as_read) == (D("1.45"), method, D(number))


def test_52_what_was_meant_is_remembered_for_that_person_and_still_to_be_picked(client, member, technician):
    fill = in_use()
    client.force_login(member)
    first = typed(client, fill, "90")
    assert offered(first)[0] != "1.3810"  # 90 in any other unit
    assert "as you meant the last time" not in text(first)
    typed(client, fill, "90", sg_pick="1.4500")  # degrees Twaddell
    again = typed(client, fill, "45")
    assert offered(again)[0] == "1.2250"  # 1 + 45 / 200
    assert "degrees Twaddell, 1 + 45 / 200, as you meant the last time" in text(again)
    assert again.status_code == 422
    assert newest().as_read == 90
    client.force_login(technician)
    assert "as you meant the last time" not in text(typed(client, fill, "45"))


@pytest.mark.parametrize("number", ["1,45", "1.45", "١٫٤٥", "１．４５", "1,450", "۱٫۴۵"])
def test_53_a_gravity_in_any_notation_is_read_and_shown_back(client, member, number):
    fill = in_use()
    client.force_login(member)
    answer = send(client, fill, Reading.Method.TYPED, sg=number)
    assert newest().sg == D("1.45")
    assert "1.450" in text(answer)
    assert f"sg={number}" in newest().raw


def test_53_both_marks_make_the_last_one_the_decimal_mark_and_the_litre_is_offered(client, member):
    fill = in_use()
    client.force_login(member)
    answer = typed(client, fill, "1.450,0")
    assert answer.status_code == 422
    assert "1.4500" in offered(answer)  # 1450 g in a litre
    assert typed(client, fill, "1.450,0", sg_pick="1.4500").status_code == 303
    assert (newest().method, newest().as_read) == (Reading.Method.G_L, 1450)


# --- measured once more -------------------------------------------------------------------------------


def weigh(by, fill, gross, at=None, **more):
    cylinder = flask("Cylinder A", "100", "0.5", "60")
    return record_reading(
        fill=fill, by=by, gross_g=D(gross), glass=cylinder, scale=fine_scale(), at=at, **more
    )


def check(code="B02"):
    return dip_check_of(fill_in(code), timezone.now(), policy.in_force())


def test_a8_two_readings_that_agree_count_as_their_mean(client, technician):
    fill = in_use()
    first = weigh(technician, fill, "205.2")
    second = weigh(technician, fill, "205.0", repeats=first)
    assert (first.sg, second.sg, second.repeats) == (D("1.452"), D("1.450"), first)
    verdict = check().verdict
    assert verdict.difference == pytest.approx(0.001, abs=1e-9)  # A8: mean 1.4510
    assert pytest.approx(0.0085, abs=5e-5) == verdict.U
    assert verdict.word == "inside"
    client.force_login(technician)
    page = text(client.get("/shelf/B02/"))
    assert "1.451" in page
    assert "mean of two readings of one stir" in page
    care.stir(fill=fill, by=technician)
    assert "SG 1.451, measured" in text(client.get("/shelf/B02/"))  # the panel says what was judged
    assert "(1.450 + 1.452) ÷ 2 = 1.451" in page


def test_the_shelf_judges_by_the_same_mean(technician):
    # alone each is undecided or outside the accepted span; the shelf and the bucket must say the same
    fill = in_use()
    first = weigh(technician, fill, "206.6")
    weigh(technician, fill, "205.8", repeats=first)
    row = next(one.fill for one in shelf_fills() if one.fill and one.fill.id == fill.pk)
    from buckets.queries import dip_check_of_row

    now, rules = timezone.now(), policy.in_force()
    there = dip_check_of_row(row, 14.0, now, rules)
    assert there.reading.sg == pytest.approx(1.462)
    assert there.reading.sg == check().reading.sg


def test_two_that_differ_by_more_than_the_limit_are_both_kept_and_neither_is_averaged(client, technician):
    fill = in_use()
    first = weigh(technician, fill, "205.2")
    second = weigh(technician, fill, "206.4", repeats=first)
    assert check().reading.sg == pytest.approx(1.464)
    client.force_login(technician)
    page = text(client.get(f"/shelf/B02/readings/{second.pk}/"))
    assert "more than the 0.010 two readings of one stir may" in page
    assert "Stir to the floor and measure again. Both are kept." in page
    assert Reading.objects.filter(fill=fill, sg__isnull=False, replaced_by=None).count() >= 2


def test_a_first_one_taken_back_no_longer_counts_in_the_mean(technician):
    fill = in_use()
    first = weigh(technician, fill, "205.2")
    weigh(technician, fill, "205.0", repeats=first)
    take_back_reading(reading=first, reason="not wiped", by=technician)
    assert check().reading.sg == pytest.approx(1.45)


@given(first=st.integers(1430, 1470), second=st.integers(1430, 1470))
def test_a_mean_lies_between_its_two_or_the_newer_stands_alone(first, second):
    from buckets.repeats import counting

    sg = counting(D(second) / 1000, None, D(first) / 1000, None, D("0.01")).sg
    apart = abs(second - first)
    low, high = min(first, second), max(first, second)
    assert D(low) / 1000 <= sg <= D(high) / 1000
    assert (sg == D(second) / 1000) or apart <= 10


def test_once_more_is_offered_after_the_first_of_a_segment_and_after_an_undecided_one(client, technician):
    now = timezone.now()
    fill = in_use()
    first = weigh(technician, fill, "205.2", at=now - timedelta(hours=9))
    client.force_login(technician)
    said = "It is the first since the glaze was changed or poured"
    assert said in text(client.get(f"/shelf/B02/readings/{first.pk}/"))
    second = weigh(technician, fill, "205.0", at=now - timedelta(hours=8))
    assert said not in text(client.get(f"/shelf/B02/readings/{second.pk}/"))
    doubtful = weigh(technician, fill, "206.6", at=now - timedelta(hours=7))  # 1.466 +- 0.0085
    assert "This one cannot tell." in text(client.get(f"/shelf/B02/readings/{doubtful.pk}/"))
    care.water_in(fill=fill, volume_l=D("0.05"), by=technician, at=now - timedelta(hours=6))
    third = weigh(technician, fill, "204.9", at=now - timedelta(hours=5))
    page = client.get(f"/shelf/B02/readings/{third.pk}/")
    assert said in text(page)
    assert f"?again={third.pk}" in page.content.decode()


def test_measured_once_more_through_the_page(client, technician):
    fill = in_use()
    first = weigh(technician, fill, "205.2")
    client.force_login(technician)
    page = client.get(f"/shelf/B02/reading/?way=weighed&again={first.pk}")
    assert "The first one was 1.452" in text(page)
    assert f'name="repeats" value="{first.pk}"' in page.content.decode()
    answer = send(
        client,
        fill,
        Reading.Method.WEIGHED,
        glass=first.glass_id,
        scale=first.scale_id,
        gross_g_0="205",
        gross_g_1="g",
        repeats=first.pk,
    )
    assert newest().repeats == first
    assert "Mean 1.451, inside: that is what counts" in text(answer)


def test_what_is_of_another_stir_or_kind_is_no_repeat(technician, member):
    now = timezone.now()
    fill, other = in_use(), in_use("B03")
    old = weigh(technician, fill, "205.2", at=now - timedelta(days=2))
    with pytest.raises(Refused, match="too long ago"):
        weigh(technician, fill, "205", repeats=old)
    first = weigh(technician, fill, "205.2", at=now - timedelta(hours=2))
    with pytest.raises(Refused, match="no reading of this fill"):
        weigh(technician, other, "205", repeats=first)
    with pytest.raises(Refused, match="kept apart"):
        weigh(member, fill, "205", repeats=first)
    care.water_in(fill=fill, volume_l=D("0.1"), by=technician, at=now - timedelta(hours=1))
    with pytest.raises(Refused, match="Something was done"):
        weigh(technician, fill, "205", repeats=first)
    take_back_reading(reading=first, reason="slip", by=technician)
    with pytest.raises(Refused, match="taken back"):
        weigh(technician, fill, "205", repeats=first, at=now - timedelta(hours=1, minutes=30))


# --- litres from weight -------------------------------------------------------------------------------


def test_litres_come_from_the_weight_of_the_bucket(client, technician):
    fill = in_use(litres="4")
    ScaleFactory(name="Floor scale", division_g="10", capacity_g="60000")
    client.force_login(technician)
    send(client, fill, Reading.Method.TYPED, sg="1.45", bucket_g_0="7,66", bucket_g_1="kg")
    fill.refresh_from_db()
    # (7660 - 1135) / 1000 / 1.45 = 4.5 L
    assert (newest().bucket_g, newest().volume_l, fill.volume_l) == (7660, D("4.5"), D("4.5"))


def test_a_heavy_bucket_is_lifted_with_two_and_one_no_scale_carries_is_said_so(client, technician):
    in_use(litres="12")  # about 18.5 kg
    fine_scale()
    client.force_login(technician)
    page = text(client.get("/shelf/B02/reading/?way=weighed"))
    assert "no scale here carries more than 600 g: depth and SG stand in for its weight" in page
    assert "lift it with two" not in page
    ScaleFactory(name="Floor scale", division_g="10", capacity_g="60000")
    page = text(client.get("/shelf/B02/reading/?way=weighed"))
    assert "Over 15 kg: lift it with two" in page
    assert "stand in" not in page


def test_a_pair_that_cannot_tell_names_the_one_that_could(client, technician):
    fill = in_use()
    coarse, bulk = GlassFactory(name="Class B", tolerance_ml="1.00"), ScaleFactory()
    flask("Good flask", "250", "0.2", "92.7")
    fine_scale()
    client.force_login(technician)
    page = text(
        send(
            client,
            fill,
            Reading.Method.WEIGHED,
            glass=coarse.pk,
            scale=bulk.pk,
            gross_g_0="210.7",
            gross_g_1="g",
        )
    )
    assert "with this pair nothing can be called inside. Good flask on Fine scale could" in page


# --- wrong input --------------------------------------------------------------------------------------

MARKUP = "<script>alert(1)</script>"
WATER = {"tare_g_0": "60", "water_g_0": "160", "gross_g_0": "205"}
UNITS = {"tare_g_1": "g", "water_g_1": "g", "gross_g_1": "g"}
FLOATS = {"as_read": "1.45", "temperature_c": "20"}
WRONG = [
    ("against water", {**WATER, "tare_g_0": ""}, "tare_g"),
    ("against water", {**WATER, "tare_g_0": "light"}, "tare_g"),
    ("against water", {**WATER, "tare_g_0": "-6"}, "tare_g"),
    ("against water", {**WATER, "water_g_0": ""}, "water_g"),
    ("against water", {**WATER, "water_g_0": "60"}, "water_g"),
    ("against water", {**WATER, "water_g_0": "50"}, "water_g"),
    ("against water", {**WATER, "water_g_0": "wet"}, "water_g"),
    ("against water", {**WATER, "water_g_0": "1e3"}, "water_g"),
    ("against water", {**WATER, "water_g_1": "stone"}, "water_g"),
    ("against water", {**WATER, "gross_g_0": ""}, "gross_g"),
    ("against water", {**WATER, "gross_g_0": "59"}, "gross_g"),
    ("against water", {**WATER, "gross_g_0": "150"}, "gross_g"),
    ("against water", {**WATER, "gross_g_0": "999"}, "gross_g"),
    ("against water", {**WATER, "temperature_c": "45"}, "temperature_c"),
    ("against water", {**WATER, "temperature_c": "warm"}, "temperature_c"),
    ("against water", {**WATER, "glass": "999999"}, "glass"),
    ("against water", {**WATER, "scale": "x"}, "scale"),
    ("hydrometer", {**FLOATS, "as_read": ""}, "as_read"),
    ("hydrometer", {**FLOATS, "as_read": "0"}, "as_read"),
    ("hydrometer", {**FLOATS, "as_read": "-1"}, "as_read"),
    ("hydrometer", {**FLOATS, "as_read": "145"}, "as_read"),
    ("hydrometer", {**FLOATS, "as_read": "high"}, "as_read"),
    ("hydrometer", {**FLOATS, "as_read": "0.9"}, "as_read"),
    ("hydrometer", {**FLOATS, "as_read": MARKUP}, "as_read"),
    ("hydrometer", {**FLOATS, "temperature_c": ""}, "temperature_c"),
    ("hydrometer", {**FLOATS, "temperature_c": "41"}, "temperature_c"),
    ("hydrometer", {**FLOATS, "temperature_c": "-1"}, "temperature_c"),
    ("hydrometer", {**FLOATS, "hydrometer": ""}, "hydrometer"),
    ("hydrometer", {**FLOATS, "hydrometer": "999999"}, "hydrometer"),
    ("hydrometer", {**FLOATS, "hydrometer": "x"}, "hydrometer"),
    ("hydrometer", {**FLOATS, "hydrometer": "-1"}, "hydrometer"),
    ("baumé", {"as_read": "145", "modulus": "145"}, "as_read"),
    ("baumé", {"as_read": "200", "modulus": "145"}, "as_read"),
    ("baumé", {"as_read": "45", "modulus": "1"}, "modulus"),
    ("baumé", {"as_read": "45", "modulus": "300"}, "modulus"),
    ("baumé", {"as_read": "45", "modulus": "heavy"}, "modulus"),
    ("baumé", {"as_read": "45", "modulus": "-145"}, "modulus"),
    ("baumé", {"as_read": "45", "modulus": "nan"}, "modulus"),
    ("baumé", {"as_read": "45", "modulus": "9" * 60}, "modulus"),
    ("twaddell", {"as_read": "300"}, "as_read"),
    ("twaddell", {"as_read": "9" * 60}, "as_read"),
    ("oz imperial pint", {"as_read": "15"}, "as_read"),
    ("oz imperial pint", {"as_read": "290"}, "as_read"),
    ("oz US pint", {"as_read": "12"}, "as_read"),
    ("g/100 mL", {"as_read": "1.45"}, "as_read"),
    ("g/100 mL", {"as_read": "1,,45"}, "as_read"),
    ("g/L", {"as_read": "145"}, "as_read"),
    ("lb/US gal", {"as_read": "99"}, "as_read"),
    ("typed", {"sg": ""}, "sg"),
    ("typed", {"sg": "thick"}, "sg"),
    ("typed", {"sg": "0.5"}, "sg"),
    ("typed", {"sg": "-1.45"}, "sg"),
    ("typed", {"sg": "1.45", "sg_pick": ""}, None),
    ("typed", {"sg": "1.45", "bucket_g_0": "1", "bucket_g_1": "kg"}, "bucket_g"),
    ("typed", {"sg": "1.45", "bucket_g_0": "90", "bucket_g_1": "kg"}, "bucket_g"),
    ("typed", {"sg": "1.45", "bucket_g_0": "heavy", "bucket_g_1": "kg"}, "bucket_g"),
    ("typed", {"sg": "1.45", "bucket_g_0": "-9", "bucket_g_1": "kg"}, "bucket_g"),
    ("typed", {"sg": "1.45", "bucket_g_0": "0", "bucket_g_1": "kg"}, "bucket_g"),
    ("typed", {"sg": "1.45", "bucket_g_0": "9", "bucket_g_1": "kg", "depth_cm": "9"}, "bucket_g"),
    ("typed", {"sg": "1.45", "repeats": "999999"}, "repeats"),
    ("typed", {"sg": "1.45", "repeats": "x"}, "repeats"),
    ("typed", {"sg": "1.45", "repeats": "-1"}, "repeats"),
    ("typed", {"sg": "1.45", "note": "n" * 201}, "note"),
    ("typed", {"sg": "1.45", "temperature_c": "51"}, "temperature_c"),
    ("plato", {"as_read": "12"}, "way"),
    ("hydrometer ", {"as_read": "1.45"}, "way"),
    ("", {"as_read": "29"}, "way"),
]


@pytest.mark.parametrize(("way", "said", "field"), [row for row in WRONG if row[2]])
def test_each_way_answers_a_wrong_number_beside_its_field(client, technician, way, said, field):
    fill = in_use()
    scale, made = fine_scale(), HydrometerFactory()
    data = {"fill": fill.pk, "key": uuid4(), "way": way}
    data |= {"scale": scale.pk, **UNITS} if way == "against water" else {}
    data |= {"hydrometer": made.pk} if way == "hydrometer" else {}
    client.force_login(technician)
    before = Reading.objects.count()
    answer = client.post("/shelf/B02/reading/", {**data, **said})
    assert answer.status_code == 422
    errors = answer.context["form"].errors
    assert errors[field], errors
    page = html.unescape(answer.content.decode())
    assert MARKUP not in answer.content.decode()
    assert str(errors[field][0]).split(".")[0].replace("\xa0", " ") in page.replace("\xa0", " ")
    assert Reading.objects.count() == before


def test_what_belongs_to_another_way_is_refused_over_the_api_too(technician):
    from tests.api.asking import program

    fill = in_use()
    asks = program(technician)
    answer = asks.post(f"fills/{fill.pk}/record-reading/", {"way": "twaddell", "as_read": 90, "sg": "1.45"})
    assert answer.status_code == 422
    assert "another way of measuring" in answer.json()["fields"]["sg"][0]
    answer = asks.post(f"fills/{fill.pk}/record-reading/", {"way": "twaddell", "as_read": 90})
    assert answer.status_code == 201
    assert (answer.json()["sg"], answer.json()["method"]) == ("1.4500", "twaddell")
