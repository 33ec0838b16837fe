"""Whatever goes wrong has one shape, a sentence for a person, and the right status."""

import json
import logging
from uuid import uuid4

import pytest
from django.test import Client

from studio.api_kit.sending import MOST_BYTES
from studio.people.api_auth import PaceOfToken
from studio.room import api as room_api
from tests import factories
from tests.api.asking import BASE, program

pytestmark = pytest.mark.django_db


@pytest.fixture
def bram(technician):
    return program(technician)


def refused(answer, status: int, *words: str):
    said = answer.json()
    assert (answer.status_code, set(said)) == (status, {"problem", "fields"}), answer.content
    assert said["problem"].endswith((".", "?"))
    for word in words:
        assert word in said["problem"]
    return said


@pytest.mark.parametrize(
    "address",
    ["nowhere/", "fills/999/", "fills/0/", f"fills/{10**30}/", "fills/x/", "batches/26-999/", "batches/x/",
     "labels/Q9999/", "requests/7/", "vessels/7/litres/", "fills/7/readings/", "fills/7/dip-check/", ""],
)  # fmt: skip
def test_what_is_not_there(bram, address):
    refused(bram.get(address), 404, "nothing at this address")


def test_an_address_that_is_not_there_says_so_to_nobody_as_well(client):
    refused(client.get(f"{BASE}nowhere/"), 404)
    assert b"<h1>" in client.get("/nowhere/").content


def test_a_method_that_an_address_does_not_know(bram, technician):
    answer = bram.client.delete(f"{BASE}scales/", headers={"Authorization": f"Bearer {bram.secret}"})
    refused(answer, 405, "DELETE")
    assert "GET" in answer.headers["Allow"]
    refused(bram.get("scales/add-scale/"), 405, "GET")
    refused(bram.post("schema/"), 405)


def test_nobody_and_the_wrong_role(bram, member):
    refused(program(None).get("scales/"), 401, "Bearer")
    refused(program(member).post("scales/add-scale/", {}), 403, "to change the room")


def test_a_body_of_another_kind(bram):
    headers = {"Authorization": f"Bearer {bram.secret}", "Idempotency-Key": str(uuid4())}
    address = f"{BASE}scales/add-scale/"
    refused(bram.client.post(address, {"name": "x"}, headers=headers), 415, "application/json")
    refused(bram.client.post(address, "a=1", content_type="text/plain", headers=headers), 415)
    refused(bram.post("scales/add-scale/", b"{"), 400, "JSON")
    refused(bram.post("scales/add-scale/", b" " * (MOST_BYTES + 1)), 413)
    nearly = json.dumps({"name": "x" * (MOST_BYTES - 20)}).encode()
    said = refused(bram.post("scales/add-scale/", nearly), 422)
    assert {"name", "division_g", "capacity_g"} == set(said["fields"])


def test_any_manner_of_answer_that_is_asked_for_is_json(bram):
    headers = {"Authorization": f"Bearer {bram.secret}", "Accept": "text/html"}
    answer = bram.client.get(f"{BASE}scales/", headers=headers)
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "application/json")


def test_a_rule_that_says_no_names_the_field(bram):
    vessel = factories.VesselFactory(code="B61")
    factories.FillFactory(vessel=vessel)
    body = {"vessel": "B61", "glaze": "Moss", "volume_l": {"amount": 3, "unit": "L"}}
    said = refused(bram.post("fills/take-over-bucket/", body), 409, "B61")
    assert set(said["fields"]) <= {"vessel"}


@pytest.mark.parametrize(
    ("address", "query", "field"),
    [
        ("lots/", {"state": "lost"}, "state"),
        ("lots/", {"stat": "released"}, "stat"),
        ("lots/", {"material": "one"}, "material"),
        ("lots/", {"material": "9" * 30}, "material"),
        ("fills/", {"all": "yes"}, "all"),
        ("fills/", {"vessel": "B" * 13}, "vessel"),
        ("fills/", {"page_size": "0"}, "page_size"),
        ("fills/", {"page_size": "201"}, "page_size"),
        ("fills/", {"cursor": "x"}, "cursor"),
        ("materials/density/", {}, "name"),
        ("rules/", {"name": "x"}, "name"),
        ("scales/1/", {"format": "csv"}, "format"),
    ],
)
def test_what_an_address_does_not_understand_is_named(bram, address, query, field):
    factories.ScaleFactory()
    address = address.replace("scales/1/", f"scales/{factories.ScaleFactory().pk}/")
    said = refused(bram.get(address, **query), 400)
    assert set(said["fields"]) == {field}


def test_a_depth_is_read_as_any_number(bram):
    pk = factories.VesselFactory().pk
    assert bram.told(f"vessels/{pk}/litres/", depth_cm="8,0")["at_depth_l"] == pytest.approx(4.24, abs=0.01)
    assert bram.told(f"vessels/{pk}/litres/")["at_depth_l"] is None
    refused(bram.get(f"vessels/{pk}/litres/", depth_cm="99"), 400)
    refused(bram.get(f"vessels/{pk}/litres/", depth_cm="-1"), 400)
    refused(bram.get(f"vessels/{pk}/litres/", depth_cm="deep"), 400)


def test_a_program_that_runs_wild_is_told_to_wait(bram, monkeypatch):
    monkeypatch.setattr(PaceOfToken, "rate", "3/min")
    assert [bram.get("scales/").status_code for _ in range(3)] == [200] * 3
    answer = bram.get("scales/")
    refused(answer, 429, "Wait")
    assert 0 < int(answer.headers["Retry-After"]) <= 60
    assert program(factories.tamsin()).get("scales/").status_code == 200


def test_a_fault_of_ours_has_the_shape_and_tells_nothing(bram, monkeypatch, caplog):
    def broken(*args):
        raise RuntimeError("secret of the house")

    monkeypatch.setattr(room_api.queries, "rules", broken)
    monkeypatch.setattr(logging.getLogger("django"), "propagate", True)
    answer = bram.get("rules/")
    refused(answer, 500, "nothing was saved")
    assert b"secret" not in answer.content
    assert "secret of the house" in caplog.text


def test_a_cookie_or_an_address_with_a_nought_byte(client):
    refused(client.get(f"{BASE}lots/?code=%00"), 400)
    refused(client.get(f"{BASE}labels/Q%001/"), 404)
    assert client.get("/shelf/B%00/").status_code == 404
    # as it comes over the wire: newer Pythons refuse to write such a cookie themselves
    browser = Client(raise_request_exception=False, HTTP_COOKIE=r'sessionid="abcdefgh\000ijklmnop"')
    assert browser.get("/people/login/").status_code == 400
    refused(browser.get(f"{BASE}me/"), 400)
