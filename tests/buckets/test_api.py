"""The bucket over the API: the same acts, the same refusals, one error shape."""

import json
from decimal import Decimal
from uuid import uuid4

import pytest

from buckets.models import Care, Fill, Reading, Report, Use
from buckets.operations import care
from buckets.operations.fills import empty_fill
from buckets.operations.readings import record_reading
from tests.buckets.rows import fine_scale, flask, gannet, in_use, pail

pytestmark = pytest.mark.django_db


def post(client, address: str, body: dict, key=None):
    return client.post(
        f"/api/v1/{address}",
        json.dumps(body),
        content_type="application/json",
        headers={"Idempotency-Key": str(key or uuid4())},
    )


def test_a_fill_answers_may_i_dip_with_its_reason(client, technician, member):
    fill = in_use()
    record_reading(fill=fill, by=technician, sg=Decimal("1.45"), u_sg=Decimal("0.002"))
    client.force_login(member)
    found = client.get("/api/v1/fills/").json()["results"]
    assert [row["id"] for row in found] == [fill.pk]
    one = client.get(f"/api/v1/fills/{fill.pk}/").json()
    assert (one["vessel"], one["volume_l"], one["sg"]) == ("B02", "8.000", "1.4500")
    assert one["dip_check"]["answer"] == "stir first"
    assert one["dip_check"]["reasons"][0] == "not stirred"
    assert "stir" in one["dip_check"]["sentence"]
    assert one["parents"] == [
        {
            "batch": None,
            "parent_fill": None,
            "version": gannet().current.pk,
            "dry_g": None,
            "dry_share": "1.000000",
        }
    ]


def test_emptied_fills_are_listed_when_asked_for(client, technician):
    fill = in_use()
    empty_fill(fill=fill, why="to reclaim", by=technician)
    client.force_login(technician)
    assert client.get("/api/v1/fills/").json()["results"] == []
    (row,) = client.get("/api/v1/fills/?all=true").json()["results"]
    assert (row["state"], row["dip_check"]["answer"]) == ("emptied", "do not use")


def test_scenario_a2_over_the_api(client, technician):
    fill = in_use(litres="4.2")
    client.force_login(technician)
    body = {
        "glass": flask().pk,
        "scale": fine_scale().pk,
        "gross_g": {"amount": "209.9", "unit": "g"},
        "depth_cm": "8.0",
    }
    answer = post(client, f"fills/{fill.pk}/record-reading/", body)
    assert answer.status_code == 201
    row = answer.json()
    assert (row["sg"], row["tare_g"], row["is_check"]) == ("1.5200", "58.200", True)
    assert row["volume_l"] == str(Fill.objects.get(pk=fill.pk).volume_l)
    listed = client.get(f"/api/v1/fills/{fill.pk}/readings/").json()["results"]
    assert listed[0]["id"] == row["id"]


def test_every_act_at_the_bucket(client, technician):
    fill = in_use()
    client.force_login(technician)
    at = f"fills/{fill.pk}/"
    made = {
        "stir/": {},
        "water-in/": {"volume_l": {"amount": 300, "unit": "mL"}},
        "sieve-fill/": {"note": "80 mesh"},
        "log-use/": {"volume_l": {"amount": "0.243", "unit": "L"}, "pieces": 2},
        "record-reading/": {"sg": "1,45"},
        "report/": {"words": "blue specks"},
        "lift-hold/": {"decision": "only sand"},
    }
    report = None
    for act, body in made.items():
        if act == "lift-hold/":
            refused = post(client, at + act, body)
            assert refused.status_code == 409
            answered = post(
                client, f"reports/{report}/answer-report/", {"answer": "sand", "decision": "put right"}
            )
            assert answered.status_code == 201
            continue
        answer = post(client, at + act, body)
        assert answer.status_code == 201, (act, answer.json())
        report = answer.json()["id"]
    for act, body in (("hold-fill/", {"reason": "smells"}), ("lift-hold/", {"decision": "the drain"})):
        assert post(client, at + act, body).status_code == 201
    for nouns, act, model in (
        ("readings", "take-back-reading", Reading.objects.exclude(sg=None)),
        ("care", "take-back-care", Care.objects.filter(kind="water in")),
        ("uses", "take-back-use", Use.objects.all()),
    ):
        row = model.latest("id")
        assert post(client, f"{nouns}/{row.pk}/{act}/", {"reason": "slip"}).status_code == 201
    for nouns in ("care", "uses", "reports"):
        assert client.get(f"/api/v1/{at}{nouns}/").json()["results"]
    assert post(client, f"{at}empty-fill/", {"why": "to reclaim"}).json()["state"] == "emptied"
    assert Report.objects.get().answer == "sand"


def test_taking_over_over_the_api(client, technician):
    pail("B07")
    client.force_login(technician)
    body = {"vessel": "B07", "recipe": gannet().pk, "volume_l": {"amount": "4.2", "unit": "L"}, "sg": "1.52"}
    row = post(client, "fills/take-over-bucket/", body).json()
    assert (row["glaze"], row["target_sg"], row["state"]) == ("Gannet White", "1.4500", "testing")
    assert post(client, f"fills/{row['id']}/release-fill/", {}).json()["state"] == "in use"


def test_the_same_key_is_one_row(client, member):
    fill, key = in_use(), uuid4()
    client.force_login(member)
    first, again = (post(client, f"fills/{fill.pk}/stir/", {}, key) for _ in range(2))
    assert first.json()["id"] == again.json()["id"]
    body = {"volume_l": {"amount": "100", "unit": "mL"}}
    assert post(client, f"fills/{fill.pk}/log-use/", body, key).status_code == 409


@pytest.mark.parametrize(
    ("act", "body", "status", "field"),
    [
        ("record-reading/", {"sg": "145"}, 422, "sg"),
        ("record-reading/", {}, 422, "gross_g"),
        ("water-in/", {"volume_l": {"amount": "13", "unit": "L"}}, 409, "volume_l"),
        ("water-in/", {"volume_l": {"amount": "1", "unit": "pint"}}, 422, "volume_l"),
        ("log-use/", {"volume_l": {"amount": "nan", "unit": "L"}}, 422, "volume_l"),
        ("log-use/", {"volume_l": {"amount": "9", "unit": "L"}}, 409, "volume_l"),
        ("report/", {"words": ""}, 422, "words"),
        ("empty-fill/", {"why": ""}, 422, "why"),
    ],
)
def test_refusals_have_one_shape(client, technician, act, body, status, field):
    fill = in_use()
    client.force_login(technician)
    answer = post(client, f"fills/{fill.pk}/{act}", body)
    assert answer.status_code == status
    said = answer.json()
    assert set(said) == {"problem", "fields"}
    assert field in said["fields"]


def test_rights_are_those_of_the_pages(client, member):
    fill = in_use()
    assert client.get("/api/v1/fills/").status_code == 401
    client.force_login(member)
    for act in ("water-in/", "sieve-fill/", "empty-fill/", "hold-fill/", "lift-hold/", "release-fill/"):
        answer = post(client, f"fills/{fill.pk}/{act}", {})
        assert answer.status_code == 403
        assert answer.json()["problem"].startswith("You need the right")
    assert post(client, "fills/take-over-bucket/", {}).status_code == 403
    theirs = care.stir(fill=fill, by=member)
    assert post(client, f"care/{theirs.pk}/take-back-care/", {"reason": "slip"}).status_code == 201


def test_an_emptied_fill_is_named_with_what_is_there_now(client, technician):
    fill = in_use()
    empty_fill(fill=fill, why="to reclaim", by=technician)
    client.force_login(technician)
    answer = post(client, f"fills/{fill.pk}/stir/", {})
    assert answer.status_code == 409
    assert "Nothing is in B02 now" in answer.json()["problem"]


def test_what_is_not_there_is_not_found(client, technician):
    client.force_login(technician)
    for address in ("fills/999999/", "fills/999999/readings/", "fills/999999/care/"):
        assert client.get(f"/api/v1/{address}").status_code == 404
    assert post(client, "fills/999999/stir/", {}).status_code == 404
