"""Pages of mixing, splitting and moving: what will be so is said first; wrong input writes nothing."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from buckets.models import Care, Fill
from buckets.operations.labels import print_bucket_label
from buckets.operations.lineage import blend_fill, split_fill
from buckets.operations.readings import record_reading
from safety.models import Label
from studio.people.models import Entry
from tests.batches.words import words_of
from tests.buckets import restock
from tests.buckets.rows import in_use, pail
from tests.factories import VersionFactory

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def pair(technician):
    """Scenario E1 of "day_in_the_room.md": 9.80 L of Linseed at 1.426, 3.20 L at 1.470."""
    recipe = VersionFactory(name="Linseed").recipe
    recipe.refresh_from_db()
    fills = []
    for code, litres, sg in (("B04", "9.8", "1.426"), ("B13", "3.2", "1.470")):
        fill = in_use(code, litres=litres, recipe=recipe)
        record_reading(fill=fill, sg=D(sg), u_sg=D("0.002"), by=technician)
        fill.refresh_from_db()
        fills.append(fill)
    return fills


def blending(pair, **change):
    return {
        "fill": pair[0].pk, "key": str(uuid4()), "spare": pair[1].pk, "volume_l_0": "3,2", "volume_l_1": "L",
        "stirred": "on", **change,
    }  # fmt: skip


def counts():
    return [model.objects.count() for model in (Fill, Care, Label, Entry)]


def test_what_will_be_so_is_said_before_and_nothing_is_written(client, pair, technician):
    before = counts()
    client.force_login(technician)
    address = reverse("blend-fill", args=["B04"])
    first = client.get(address)
    assert "It is poured together" not in words_of(first)
    answer = client.post(address, blending(pair, look="1"))
    said = words_of(answer)
    assert answer.status_code == 200
    for words in (
        "13 L",
        "1.437 predicted",
        "9.123 kg",
        "A new fill of Linseed, in use",
        "73.5 % of the dry mass from what is in B04 now, 26.5 % from B13",
        "B13 is empty then: its fill ends",
        "the labels of both buckets are void",
        "respirable silica",
        "lift and pour with two",
        "It is a prediction and no reading",
    ):
        assert words in said, words
    assert counts() == before
    assert 'value="3,2"' in answer.content.decode()


def test_then_it_is_done_and_measured_against_what_was_predicted(client, pair, technician):
    client.force_login(technician)
    typed = blending(pair)
    answer = client.post(reverse("blend-fill", args=["B04"]), typed, follow=True)
    assert answer.redirect_chain == [("/shelf/B04/", 303)]
    said = words_of(answer)
    assert "13 L of Linseed now, a new fill. Its SG should be about 1.437" in said
    assert "Measure first" in said
    assert "predicted SG 1.437 by volume" in said
    assert "the fill before, fill" in said
    assert "26.5 % of the dry mass" in said
    assert client.post(reverse("blend-fill", args=["B04"]), typed).status_code == 303  # the same key
    assert Fill.objects.filter(emptied_at=None).count() == 1
    fill = Fill.objects.get(emptied_at=None)
    record_reading(fill=fill, sg=D("1.441"), u_sg=D("0.002"), by=technician)
    assert "predicted SG 1.437 by volume, measured 1.441 since" in words_of(client.get("/shelf/B04/"))


def test_another_recipe_is_asked_about_where_it_is_chosen(client, pair, technician):
    other = in_use("B02", litres="3")
    record_reading(fill=other, sg=D("1.45"), by=technician)
    client.force_login(technician)
    address = reverse("blend-fill", args=["B04"])
    answer = client.post(address, blending(pair, spare=other.pk, volume_l_0="1", look="1"))
    assert answer.status_code == 422
    assert "they make a third glaze" in words_of(answer)
    sure = blending(pair, spare=other.pk, volume_l_0="1", look="1", another_glaze="on", glaze="Grey sea")
    said = words_of(client.post(address, sure))
    assert "A new fill of Grey sea, testing" in said
    assert "Gannet White, version 1" in said


WRONG = [
    ("blend-fill", {"spare": ""}, "spare", "Out of which bucket"),
    ("blend-fill", {"spare": "x"}, "spare", "not in a bucket any more"),
    ("blend-fill", {"spare": "999999"}, "spare", "not in a bucket any more"),
    ("blend-fill", {"spare": "-1"}, "spare", "not in a bucket any more"),
    ("blend-fill", {"spare": "9" * 30}, "spare", "not in a bucket any more"),
    ("blend-fill", {"spare": "self"}, "spare", "another bucket"),
    ("blend-fill", {"volume_l_0": ""}, "volume_l", "How much of it"),
    ("blend-fill", {"volume_l_0": "some"}, "volume_l", "not a number"),
    ("blend-fill", {"volume_l_0": "0"}, "volume_l", "more than 0"),
    ("blend-fill", {"volume_l_0": "-1"}, "volume_l", "more than 0"),
    ("blend-fill", {"volume_l_0": "3,3"}, "volume_l", "B13 holds 3.2 L"),
    ("blend-fill", {"volume_l_0": "9" * 60}, "volume_l", ""),
    ("blend-fill", {"volume_l_1": "pint"}, "volume_l", "Choose one from the list"),
    ("blend-fill", {"volume_l_0": "1e3"}, "volume_l", "not a number"),
    ("blend-fill", {"stirred": ""}, "stirred", "Stir to the floor"),
    ("blend-fill", {"glaze": "g" * 81}, "glaze", "at most 80"),
    ("blend-fill", {"glaze": "a\0b"}, "glaze", ""),
    ("blend-fill", {"fill": "999999"}, "__all__", "another bucket"),
    ("blend-fill", {"key": ""}, "key", "lost its key"),
    ("split-fill", {"vessel": ""}, "vessel", "Into which bucket"),
    ("split-fill", {"vessel": "B99"}, "vessel", "no bucket B99"),
    ("split-fill", {"vessel": "B13"}, "vessel", "already holds"),
    ("split-fill", {"vessel": "B04"}, "vessel", "already holds"),
    ("split-fill", {"vessel": "b" * 13}, "vessel", ""),
    ("split-fill", {"vessel": "<b>"}, "vessel", "no bucket <b>"),
    ("split-fill", {"volume_l_0": ""}, "volume_l", "How much goes over"),
    ("split-fill", {"volume_l_0": "0"}, "volume_l", "more than 0"),
    ("split-fill", {"volume_l_0": "9,801"}, "volume_l", ""),
    ("split-fill", {"volume_l_0": "-3"}, "volume_l", "more than 0"),
    ("split-fill", {"volume_l_0": "half"}, "volume_l", "not a number"),
    ("split-fill", {"volume_l_1": ""}, "volume_l", ""),
    ("split-fill", {"stirred": ""}, "stirred", "Stir to the floor"),
    ("split-fill", {"fill": ""}, "__all__", "another bucket"),
    ("move-bucket", {"place": ""}, "place", "Where does it stand"),
    ("move-bucket", {"place": "  "}, "place", "Where does it stand"),
    ("move-bucket", {"place": "p" * 61}, "place", "At most 60"),
    ("move-bucket", {"place": "shelf A1"}, "place", "already"),
    ("move-bucket", {"place": "a\0b"}, "place", ""),
    ("move-bucket", {"fill": "x"}, "__all__", "another bucket"),
]


@pytest.mark.parametrize(("name", "change", "field", "sentence"), WRONG)
def test_wrong_input_is_said_beside_its_field_and_writes_nothing(
    client, pair, technician, name, change, field, sentence
):
    pail("B12")
    before = counts()
    client.force_login(technician)
    typed = {**blending(pair), "vessel": "B12", "place": "shelf C2", "volume_l_0": "3", **change}
    if typed["spare"] == "self":
        typed["spare"] = pair[0].pk
    typed = {key: value for key, value in typed.items() if not (key == "stirred" and not value)}
    answer = client.post(reverse(name, args=["B04"]), typed)
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field]).replace("\xa0", " ")
    assert counts() == before
    if len(str(typed["place"])) < 60 and "\0" not in typed["place"] and name == "move-bucket":
        assert f'value="{typed["place"]}"' in answer.content.decode() or not typed["place"].strip()


def test_the_split_page_says_both_and_what_counts(client, pair, technician):
    pail("B12")
    client.force_login(technician)
    typed = {**blending(pair), "vessel": "B12", "volume_l_0": "4", "look": "1"}
    said = words_of(client.post(reverse("split-fill", args=["B04"]), typed))
    for words in ("In B12 4 L", "In B04 5.8 L", "1.426", "counts for both", "The label on B04 stays"):
        assert words in said, words
    typed.pop("look")
    answer = client.post(reverse("split-fill", args=["B04"]), typed, follow=True)
    assert answer.redirect_chain == [("/shelf/B12/", 303)]
    said = words_of(answer)
    assert "4 L of Linseed are in B12 now" in said
    assert "from the bucket before, B04" in said


def test_a_fill_that_has_gone_on_keeps_a_page_with_its_story(client, pair, technician):
    print_bucket_label(fill=pair[1], by=technician)
    new = blend_fill(fill=pair[0], spare=pair[1], volume_l=D("3.2"), stirred=True, by=technician)
    client.force_login(technician)
    said = words_of(client.get(reverse("fill", args=[pair[1].number])))
    assert "all of it went into B04" in said
    assert f"26.5 % of the dry mass of fill {new.number}, Linseed in B04" in said
    assert "reading 1.470" in said.lower()
    assert "take back" not in said
    page = words_of(client.get(reverse("fill", args=[new.number])))
    assert f"fill {pair[1].number}, Linseed" in page


def test_topping_up_from_a_batch_says_the_dry_mass_from_the_fill_before(client, technician):
    """Scenario A10: 32.4 % of the dry mass."""
    restock.poured(restock.b02())
    client.force_login(technician)
    said = words_of(client.get("/shelf/B02/"))
    assert "the fill before, fill" in said
    assert ": 32.4 % of the dry mass" in said


def test_pages_cost_the_same_however_long_the_line_of_fills_is(client, pair, technician):
    pail("B12")
    client.force_login(technician)
    here, spare = pair
    for _ in range(2):
        costs = []
        for address in (
            f"/shelf/{here.vessel.code}/",
            reverse("fill", args=[here.number]),
            reverse("blend-fill", args=[here.vessel.code]),
            reverse("split-fill", args=[here.vessel.code]),
            reverse("make-cup", args=[here.vessel.code]),
        ):
            with CaptureQueriesContext(connection) as asked:
                assert client.get(address).status_code == 200
            costs.append(len(asked))
        assert max(costs) <= 12, costs
        here = blend_fill(fill=here, spare=spare, volume_l=D(1), stirred=True, by=technician)
        record_reading(fill=here, sg=D("1.43"), by=technician)
        here.refresh_from_db()
        spare.refresh_from_db()


def test_a_member_is_not_offered_what_a_technician_does(client, pair, member):
    client.force_login(member)
    page = words_of(client.get("/shelf/B04/"))
    assert "Thin or thicken a cup" in page
    for hidden in ("Into another bucket", "Top up from another bucket", "It stands somewhere else"):
        assert hidden not in page
    assert client.get(reverse("blend-fill", args=["B04"])).status_code == 403


def test_the_api_mixes_and_splits(client, pair, technician):
    client.force_login(technician)

    def post(name, pk, body):
        return client.post(
            reverse(name, args=[pk]),
            body,
            content_type="application/json",
            headers={"Idempotency-Key": str(uuid4())},
        )

    litres = {"amount": "3.2", "unit": "L"}
    answer = post("api-blend-fill", pair[0].pk, {"spare": pair[1].pk, "volume_l": litres, "stirred": True})
    assert answer.status_code == 201
    new = answer.json()
    assert (new["volume_l"], new["predicted_sg"], new["sg"]) == ("13.000", "1.4368", None)
    pail("B12")
    answer = post("api-split-fill", new["id"], {"vessel": "B12", "volume_l": litres, "stirred": True})
    assert answer.status_code == 201
    assert (answer.json()["vessel"], answer.json()["volume_l"]) == ("B12", "3.200")


def test_a_split_of_what_was_mixed_keeps_its_shares(pair, technician):
    other = in_use("B02", litres="3")
    record_reading(fill=other, sg=D("1.45"), by=technician)
    mixed = blend_fill(
        fill=pair[0], spare=other, volume_l=D(2), stirred=True, another_glaze=True, by=technician
    )
    half = split_fill(fill=mixed, vessel=pail("B12"), volume_l=D(5), stirred=True, by=technician)
    assert half.made_of == mixed.made_of
    assert (half.state, half.glaze) == ("testing", mixed.glaze)
