"""What may come out of a keyboard or a program: each is answered with a sentence, nothing is written.

The inputs are the test's own, no source. B02 holds 4.2 L of Gannet White at 1.52; B03 is empty; B04 is away.
"""

import json
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from batches.models import Batch, Request
from batches.operations.requests import ask_for_glaze
from buckets.models import Fill
from buckets.operations.fills import take_over_bucket
from studio.people.models import Entry
from studio.room.operations.vessels import put_away_vessel
from tests.batches import glazes
from tests.batches.words import words_of
from tests.factories import VesselFactory

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def gannet(technician):
    version, vessel = glazes.gannet_white(), glazes.room()
    VesselFactory(code="B03")
    put_away_vessel(vessel=VesselFactory(code="B04"), by=technician)
    take_over_bucket(vessel=vessel, recipe=version.recipe, volume_l=D("4.2"), sg=D("1.52"), by=technician)
    return version


LITRES = {"wish": "litres", "litres_0": "10", "litres_1": "L"}
DRY = {"wish": "dry total", "dry_0": "5", "dry_1": "kg"}
BRING = {"wish": "bring to", "vessel": "B02", "litres_0": "15", "litres_1": "L"}
CHOOSE = "That is not a recipe version that is approved and in force"
SAY = "Say the amount as litres, as dry mass, or by bringing a bucket up"

WRONG = {
    # what is wrong: (what is sent, the field the sentence stands beside, the sentence)
    "no glaze": (LITRES | {"version": ""}, "version", "Which glaze?"),
    "glaze as text": (LITRES | {"version": "gannet"}, "version", CHOOSE),
    "a foreign glaze": (LITRES | {"version": "999999"}, "version", CHOOSE),
    "glaze with markup": (LITRES | {"version": "<b>1</b>"}, "version", "at most 18 characters|" + CHOOSE),
    "no way to say it": (LITRES | {"wish": ""}, "wish", SAY),
    "another way": (LITRES | {"wish": "cups"}, "wish", SAY),
    "no litres": (LITRES | {"litres_0": ""}, "litres", "How many litres should it be?"),
    "litres as text": (LITRES | {"litres_0": "ten"}, "litres", "This is not a number"),
    "litres with their unit": (LITRES | {"litres_0": "10 L"}, "litres", "This is not a number"),
    "litres as an expression": (LITRES | {"litres_0": "5*2"}, "litres", "This is not a number"),
    "minus litres": (LITRES | {"litres_0": "-10"}, "litres", "more than 0 L"),
    "nought litres": (LITRES | {"litres_0": "0"}, "litres", "more than 0 L"),
    "very many litres": (LITRES | {"litres_0": "100000"}, "litres", "at most 1000 L"),
    "litres beyond all digits": (LITRES | {"litres_0": "9" * 30}, "litres", "at most 15 digits"),
    "litres that are no number": (LITRES | {"litres_0": "NaN"}, "litres", "This is not a number"),
    "litres without end": (LITRES | {"litres_0": "Infinity"}, "litres", "This is not a number"),
    "litres that read two ways": (LITRES | {"litres_0": "1,000"}, "litres", "read as 1 or as 1000"),
    "litres half typed": (LITRES | {"litres_0": "10,"}, "litres", "stops at its comma"),
    "a wrong unit": (LITRES | {"litres_1": "kg"}, "litres", "Choose one from the list"),
    "no dry mass": (DRY | {"dry_0": ""}, "dry", "How much dry glaze should it be?"),
    "minus dry mass": (DRY | {"dry_0": "-1"}, "dry", "more than 0 g"),
    "dry mass of a ship": (DRY | {"dry_0": "1001"}, "dry", "at most 1000000 g"),
    "dry mass in litres": (DRY | {"dry_1": "L"}, "dry", "Choose one from the list"),
    "a speck of dry mass": (DRY | {"dry_0": "0.1", "dry_1": "g"}, "dry", "less than any scale here shows"),
    "water as a wish": (LITRES | {"to_sg": "1"}, "to_sg", "that of plain water or less"),
    "lighter than water": (LITRES | {"to_sg": "0,5"}, "to_sg", "that of plain water or less"),
    "minus gravity": (LITRES | {"to_sg": "-1,45"}, "to_sg", "that of plain water or less"),
    "heavier than powder": (LITRES | {"to_sg": "2.9"}, "to_sg", "at or above the powder's own density"),
    "a slipped point": (LITRES | {"to_sg": "14.5"}, "to_sg", "That can be read as 1.45"),
    "grams in 100 mL": (LITRES | {"to_sg": "145"}, "to_sg", "That can be read as 1.45"),
    "gravity as text": (LITRES | {"to_sg": "thick"}, "to_sg", "This is not a number"),
    "a foreign bucket": (LITRES | {"vessel": "B99"}, "vessel", "There is no bucket B99 in service"),
    "a bucket put away": (LITRES | {"vessel": "B04"}, "vessel", "There is no bucket B04 in service"),
    "a full bucket": (LITRES | {"vessel": "B02"}, "vessel", "B02 holds 4.2 L of Gannet White"),
    "more than the bucket": (LITRES | {"vessel": "B03", "litres_0": "18"}, "litres", "88.4 % of its brim"),
    "more dry than the bucket": (DRY | {"vessel": "B03", "dry_0": "20"}, "dry", "of its brim"),
    "no bucket to bring up": (BRING | {"vessel": ""}, "vessel", "Which bucket is to be brought up?"),
    "less than is in it": (BRING | {"litres_0": "2"}, "litres", "more than the 2 L asked for"),
    "glaze in an empty one": (BRING | {"vessel": "B03", "depth_cm": "8"}, "vessel", "On record B03 is empty"),
    "deeper than the bucket": (BRING | {"depth_cm": "60"}, "depth_cm", "deeper than the bucket"),
    "minus depth": (BRING | {"depth_cm": "-8"}, "depth_cm", "at least 0 cm"),
    "less than nothing": (BRING | {"volume_l_0": "-4", "volume_l_1": "L"}, "volume_l", "never less than 0 L"),
    "depth against litres": (
        BRING | {"depth_cm": "8", "volume_l_0": "9", "volume_l_1": "L"}, "volume_l", "Which is right?",
    ),
    "over the brim already": (
        BRING | {"volume_l_0": "30", "volume_l_1": "L"}, "volume_l", "does not fit",
    ),
    "old gravity of mud": (BRING | {"old_sg": "2.15", "litres_0": "8"}, "litres", "stirred glaze first"),
    "old gravity under water": (BRING | {"old_sg": "0.9"}, "old_sg", "between 1.00 (water) and 2.2"),
    "no known fill": (BRING | {"fill": "999999"}, None, "B02 was changed meanwhile"),
    "fill as text": (BRING | {"fill": "x"}, None, "B02 was changed meanwhile"),
    "a day that was": (LITRES | {"wanted_on": "2020-01-01"}, "wanted_on", "That day is past"),
    "no day at all": (LITRES | {"wanted_on": "soon"}, "wanted_on", "A day is written like"),
    "a long story": (LITRES | {"why": "a" * 201}, "why", "At most 200 letters"),
    "no key": (LITRES | {"key": ""}, None, "lost its key"),
    "a key of one's own": (LITRES | {"key": "1234"}, None, "lost its key"),
    "a nought byte": (LITRES | {"why": "a\x00b"}, "why", "holds a character that cannot be kept"),
}  # fmt: skip


@pytest.mark.parametrize("wrong", WRONG)
def test_wrong_input_is_answered_beside_its_field_and_nothing_is_written(client, member, gannet, wrong):
    sent, field, sentence = WRONG[wrong]
    client.force_login(member)
    before = Entry.objects.count()
    answer = client.post(reverse("ask"), {"key": str(uuid4()), "version": gannet.pk} | sent)

    assert answer.status_code == 422, wrong
    said = words_of(answer)
    form = answer.context["form"]
    assert any(one in said for one in sentence.split("|")), said
    if field is not None:
        assert field in form.errors, form.errors
    assert not Request.objects.exists()
    assert Entry.objects.count() == before
    _kept(answer, sent)


def _kept(answer, sent):
    """What was typed stands in the page again, markup harmless."""
    page = answer.content.decode()
    for name in ("litres_0", "dry_0", "to_sg", "depth_cm"):
        if sent.get(name) and f'name="{name}"' in page:
            assert f'value="{sent[name]}"' in page, name
    assert "<b>1</b>" not in page


def test_words_with_markup_are_kept_as_words(client, member, gannet):
    client.force_login(member)
    sent = LITRES | {"key": str(uuid4()), "version": gannet.pk, "why": "<script>alert(1)</script> & co"}
    assert client.post(reverse("ask"), sent).status_code == 303
    page = client.get(reverse("request", args=[301])).content.decode()
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; co" in page
    assert "<script>alert(1)" not in page


def test_an_address_with_wrong_input_still_shows_the_page(client, member, gannet):
    client.force_login(member)
    for wrong, (sent, _, sentence) in WRONG.items():
        if "\x00" in sent.get("why", ""):
            continue  # no address may carry one
        answer = client.get(reverse("ask"), {"version": gannet.pk} | sent)
        assert answer.status_code == 200, wrong
        if "key" not in sent:
            assert any(one in words_of(answer) for one in sentence.split("|")), wrong


def test_an_address_with_nonsense_shows_the_empty_page(client, member, gannet):
    client.force_login(member)
    for query in ({"wish": "x", "vessel": "?", "version": "x"}, {"vessel": "B" * 300}, {"litres": "1"}):
        assert client.get(reverse("ask"), query).status_code == 200


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ([], 400),
        ("text", 400),
        ({}, 422),
        ({"version": None, "wish": None}, 422),
        ({"version": [1, 2], "wish": {"amount": 1}}, 422),
        ({"version": 1, "wish": "litres", "litres": 15}, 422),
        ({"version": 1, "wish": "litres", "litres": {"amount": 1e308, "unit": "L"}}, 422),
        ({"version": 1, "wish": "litres", "litres": {"amount": "15", "unit": ["L"]}}, 422),
    ],
)
def test_the_api_answers_nonsense_in_its_one_shape(client, member, gannet, body, status):
    client.force_login(member)
    for name in ("api-ask-for-glaze", "api-plan-request"):
        headers = {"Idempotency-Key": str(uuid4())}
        answer = client.post(
            reverse(name), json.dumps(body), content_type="application/json", headers=headers
        )
        assert answer.status_code == status
        assert set(answer.json()) == {"problem", "fields"}
    assert not Request.objects.exists()


def test_acts_on_a_request_that_is_not_there_or_not_theirs(client, member, technician, gannet):
    ask_for_glaze(version=gannet, wish="litres", litres=D(5), by=technician)
    client.force_login(member)
    key = {"key": uuid4()}
    assert client.post(reverse("withdraw-request", args=[999]), key).status_code == 404
    assert client.post(reverse("withdraw-request", args=[301]), key).status_code == 422
    client.force_login(technician)
    for number, data, status in ((999, {"key": uuid4()}, 404), (301, {}, 422), (301, {"key": "x"}, 422)):
        assert client.post(reverse("approve-request", args=[number]), data).status_code == status
    assert client.post(reverse("decline-request", args=[301]), {"reason": "a" * 201}).status_code == 422
    assert client.get(reverse("approve-request", args=[301])).status_code == 405
    assert Request.objects.get().state == "asked"
    assert not Batch.objects.exists()
    assert Fill.objects.get().held_at is None
