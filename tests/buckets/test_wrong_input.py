"""Wrong input at the bucket: a sentence beside its field, what was typed kept, nothing written, no 500."""

import html
from decimal import Decimal
from uuid import uuid4

import pytest

from buckets.models import Care, Fill, Reading, Report, Use
from buckets.operations import care
from buckets.operations.fills import empty_fill
from studio.people.models import Entry
from tests.buckets.rows import fine_scale, flask, found, in_use, pail

pytestmark = pytest.mark.django_db

MODELS = (Reading, Care, Use, Report, Fill, Entry)
MARKUP = '<script>alert("1")</script>'

# address, what is typed, the field the sentence belongs beside, a part of the sentence
TABLE = [
    ("water", {"volume_l_0": "", "volume_l_1": "L"}, "volume_l", "How much water"),
    ("water", {"volume_l_0": "some", "volume_l_1": "L"}, "volume_l", "not a number"),
    ("water", {"volume_l_0": "-1", "volume_l_1": "L"}, "volume_l", "more than 0 L"),
    ("water", {"volume_l_0": "0", "volume_l_1": "L"}, "volume_l", "more than 0 L"),
    ("water", {"volume_l_0": "0.0001", "volume_l_1": "L"}, "volume_l", "more than 0 L"),
    ("water", {"volume_l_0": "99999999999999", "volume_l_1": "L"}, "volume_l", "at most 1000 L"),
    ("water", {"volume_l_0": "9" * 60, "volume_l_1": "L"}, "volume_l", ""),
    ("water", {"volume_l_0": "nan", "volume_l_1": "L"}, "volume_l", "not a number"),
    ("water", {"volume_l_0": "1e3", "volume_l_1": "L"}, "volume_l", "not a number"),
    ("water", {"volume_l_0": "1,234", "volume_l_1": "mL"}, "volume_l", "Which one is it?"),
    ("water", {"volume_l_0": "1,", "volume_l_1": "L"}, "volume_l", "stops at its comma"),
    ("water", {"volume_l_0": "1", "volume_l_1": "pint"}, "volume_l", "Choose one from the list"),
    ("water", {"volume_l_0": "13", "volume_l_1": "L"}, "volume_l", "does not fit"),
    ("water", {"volume_l_0": "1", "volume_l_1": "L", "note": "n" * 201}, "note", "at most 200 letters"),
    ("water", {"volume_l_0": MARKUP, "volume_l_1": "L"}, "volume_l", "not a number"),
    ("used", {"volume_l_0": "", "volume_l_1": "mL"}, "volume_l", "How much did you use"),
    ("used", {"volume_l_0": "8001", "volume_l_1": "mL"}, "volume_l", "holds 8 L"),
    ("used", {"volume_l_0": "100", "volume_l_1": "mL", "pieces": "0"}, "pieces", "At least one piece"),
    ("used", {"volume_l_0": "100", "volume_l_1": "mL", "pieces": "2.5"}, "pieces", "whole numbers"),
    ("used", {"volume_l_0": "100", "volume_l_1": "mL", "pieces": "1001"}, "pieces", "At most 1000"),
    ("used", {"volume_l_0": "100", "volume_l_1": "mL", "pieces": "many"}, "pieces", "whole numbers"),
    ("reading", {}, "gross_g", "Weigh the filled flask"),
    ("reading", {"sg": "thick"}, "sg", "not a number"),
    ("reading", {"sg": "145"}, "sg", "more than one way"),
    ("reading", {"sg": "14.5"}, "sg", "more than one way"),
    ("reading", {"sg": "145", "sg_pick": "1.3333"}, "sg", "more than one way"),
    ("reading", {"sg": "-1.45"}, "sg", "between 1.00 and 2.20"),
    ("reading", {"sg": "1.45", "depth_cm": "58"}, "depth_cm", "deeper than the bucket"),
    ("reading", {"sg": "1.45", "depth_cm": "-1"}, "depth_cm", "at least 0"),
    (
        "reading",
        {"sg": "1.45", "depth_cm": "8", "volume_l_0": "4", "volume_l_1": "L"},
        "volume_l",
        "not both",
    ),
    ("reading", {"sg": "1.45", "volume_l_0": "21", "volume_l_1": "L"}, "volume_l", "20.36"),
    ("reading", {"sg": "1.45", "temperature_c": "90"}, "temperature_c", "at most 50"),
    ("reading", {"gross_g_0": "209.9", "gross_g_1": "g"}, "glass", "Which flask"),
    ("reading", {"gross_g_0": "209.9", "gross_g_1": "g", "sg": "1.45"}, "sg", "not both"),
    ("reading", {"gross_g_0": "209.9", "gross_g_1": "g", "glass": "999999"}, "glass", "Choose one of these"),
    ("reading", {"gross_g_0": "209.9", "gross_g_1": "g", "glass": "x"}, "glass", "Choose one of these"),
    ("reading", {"gross_g_0": "209.9", "gross_g_1": "stone"}, "gross_g", "Choose one from the list"),
    ("report", {"words": ""}, "words", "what looks wrong"),
    ("report", {"words": "   "}, "words", "what looks wrong"),
    ("report", {"words": "w" * 401}, "words", "at most 400 letters"),
    ("empty", {"why": ""}, "why", "Say why"),
    ("hold", {"reason": ""}, "reason", "Say why it is held"),
    ("lift", {"decision": "fine"}, None, "is not held"),
    ("release", {}, None, "already"),
]


def counts():
    return [model.objects.count() for model in MODELS]


def send(client, address, data, fill):
    return client.post(f"/shelf/B02/{address}/", {"fill": fill.pk, "key": uuid4(), **data})


def shown(answer):
    return html.unescape(answer.content.decode()).replace("\xa0", " ")


@pytest.mark.parametrize(("address", "data", "field", "sentence"), TABLE)
def test_each_is_answered_beside_its_field(client, technician, address, data, field, sentence):
    fill = in_use()
    flask()
    before = counts()
    client.force_login(technician)
    answer = send(client, address, data, fill)
    assert answer.status_code == 422
    errors = answer.context["form"].errors
    said = " ".join(errors[field or "__all__"]).replace("\xa0", " ")
    assert sentence in said
    page = shown(answer)
    assert said.split(".")[0] in page
    for typed in data.values():
        assert str(typed).strip() in page or typed in ("pint", "stone", "x", "999999", "1.3333")
    assert counts() == before


def test_markup_is_kept_as_text_and_never_as_markup(client, technician):
    fill = in_use()
    client.force_login(technician)
    answer = send(client, "water", {"volume_l_0": MARKUP, "volume_l_1": "L"}, fill)
    assert MARKUP.encode() not in answer.content
    assert MARKUP in html.unescape(answer.content.decode())
    send(client, "report", {"words": MARKUP}, fill)
    page = client.get("/shelf/B02/").content
    assert MARKUP.encode() not in page
    assert MARKUP in html.unescape(page.decode())


def test_a_glass_of_another_weight_asks_and_the_tick_settles_it(client, technician):
    fill = in_use()
    weighed = {"glass": flask().pk, "scale": fine_scale().pk, "gross_g_0": "213,8", "gross_g_1": "g"}
    weighed |= {"tare_g_0": "66,3", "tare_g_1": "g"}
    client.force_login(technician)
    answer = send(client, "reading", weighed, fill)
    assert answer.status_code == 422
    assert "Another glass, or not clean and dry?" in shown(answer)
    assert 'name="tare_checked"' in answer.content.decode()
    assert send(client, "reading", {**weighed, "tare_checked": "on"}, fill).status_code == 303


@pytest.mark.parametrize("said", ["", "999999", "nonsense", "-1", "9" * 30, "١"])
def test_a_form_of_another_bucket_is_refused(client, technician, said):
    in_use()
    before = counts()
    client.force_login(technician)
    answer = client.post("/shelf/B02/stir/", {"fill": said, "key": uuid4()})
    assert answer.status_code == 422
    assert "made for another bucket" in shown(answer)
    assert counts() == before


def test_a_fill_of_another_bucket_is_refused(client, technician):
    in_use("B02")
    other = in_use("B03")
    before = counts()
    client.force_login(technician)
    answer = client.post("/shelf/B02/stir/", {"fill": other.pk, "key": uuid4()})
    assert answer.status_code == 422
    assert counts() == before


def test_an_emptied_fill_is_named_with_what_is_there_now_and_the_words_are_kept(client, technician, member):
    fill = in_use()
    empty_fill(fill=fill, why="to reclaim", by=technician)
    client.force_login(member)
    answer = send(client, "used", {"volume_l_0": "120", "volume_l_1": "mL"}, fill)
    assert "Nothing is in B02 now" in shown(answer)
    found("B02", glaze="Harbour Fog", litres="3")
    answer = send(client, "used", {"volume_l_0": "120", "volume_l_1": "mL"}, fill)
    assert answer.status_code == 422
    assert "Gannet White, which was emptied" in shown(answer)
    assert "B02 now holds Harbour Fog" in shown(answer)
    assert 'value="120"' in shown(answer)
    assert not Use.objects.exists()


def test_the_same_key_again_is_one_row_and_other_content_is_refused_with_a_fresh_key(client, member):
    fill, key = in_use(), str(uuid4())
    client.force_login(member)
    said = {"fill": fill.pk, "key": key, "volume_l_0": "120", "volume_l_1": "mL"}
    assert client.post("/shelf/B02/used/", said).status_code == 303
    assert client.post("/shelf/B02/used/", said).status_code == 303
    assert Use.objects.count() == 1
    answer = client.post("/shelf/B02/used/", {**said, "volume_l_0": "130"})
    assert answer.status_code == 422
    assert "sent before with other content" in shown(answer)
    assert key not in shown(answer)
    assert Use.objects.count() == 1


@pytest.mark.parametrize("key", ["", "no key", "1" * 40])
def test_a_form_without_a_good_key_is_refused(client, member, key):
    fill = in_use()
    client.force_login(member)
    answer = client.post("/shelf/B02/stir/", {"fill": fill.pk, "key": key})
    assert answer.status_code == 422
    assert not Care.objects.exists()


OVER = [
    ({"vessel": ""}, "vessel", "Which bucket"),
    ({"vessel": "B99"}, "vessel", "no such bucket"),
    ({"recipe": "999999"}, "recipe", "no such recipe"),
    ({"recipe": "x"}, "recipe", "no such recipe"),
    ({"glaze": ""}, "glaze", "Which glaze"),
    ({"glaze": "g" * 81}, "glaze", "at most 80 letters"),
    ({"volume_l_0": ""}, "depth_cm", "How much is in it"),
    ({"volume_l_0": "0"}, "volume_l", "more than 0 L"),
    ({"volume_l_0": "20,4"}, "volume_l", "does not fit"),
    ({"depth_cm": "8"}, "volume_l", "not both"),
    ({"sg": "145"}, "sg", "more than one way"),
    ({"sg": "1,0"}, "sg", "between 1.00"),
    ({"target_sg": "1,0"}, "target_sg", "above 1"),
    ({"half_window": "0,02"}, "target_sg", "needs its target"),
    ({"target_sg": "1,45", "half_window": "0"}, "half_window", "more than 0"),
    ({"cone": "66"}, "cone", "06 and 6"),
    ({"atmosphere": "smoke"}, "atmosphere", "oxidation, reduction or neutral"),
    ({"colour": "blue"}, "colour", "#"),
    ({"particle_density": "0,5"}, "particle_density", "more than 1"),
]


@pytest.mark.parametrize(("change", "field", "sentence"), OVER)
def test_taking_over_refuses_each_beside_its_field(client, technician, change, field, sentence):
    pail("B07")
    before = counts()
    client.force_login(technician)
    data = {"key": uuid4(), "vessel": "B07", "glaze": "Blue", "volume_l_0": "3", "volume_l_1": "L", **change}
    answer = client.post("/shelf/take-over/", data)
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field]).replace("\xa0", " ")
    assert "Blue" in shown(answer) or "glaze" in change
    assert counts() == before


def test_rows_that_are_not_of_this_bucket_are_not_found(client, technician):
    stirred = care.stir(fill=in_use("B02"), by=technician)
    in_use("B03")
    client.force_login(technician)
    for address in (
        f"/shelf/B03/care/{stirred.pk}/take-back/",
        "/shelf/B03/readings/999999/",
        "/shelf/B03/uses/999999/take-back/",
        "/shelf/B03/reports/999999/answer/",
        "/shelf/B99/",
        "/shelf/B99/stir/",
    ):
        assert client.get(address).status_code == 404


def test_numbers_typed_in_other_ways_are_read_and_kept_as_typed(client, technician):
    fill = in_use(litres="5")
    client.force_login(technician)
    for typed, unit, litres in (
        ("0,5", "L", "0.500"),
        ("250", "mL", "0.250"),
        ("٠٫٥", "L", "0.500"),
        ("0.1", "US_gal", "0.379"),
    ):
        assert send(client, "water", {"volume_l_0": typed, "volume_l_1": unit}, fill).status_code == 303
        row = Care.objects.latest("id")
        assert row.volume_l == Decimal(litres)
        assert f"volume_l={typed} {unit}" in row.raw
