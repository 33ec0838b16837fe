"""Every act over the API: done once, sent again, sent otherwise, with a field too many, without a key."""

import json
from uuid import uuid4

import pytest
from django.db import transaction

from studio.api_kit.schema import whole_schema
from studio.people.models import Entry
from tests import factories
from tests.api.asking import program
from tests.api.bodies import every_act


@pytest.fixture(scope="module")
def room(django_db_setup, django_db_blocker):
    """A manager's program, and the acts that go through here; what a test does is taken back after it."""
    with django_db_blocker.unblock(), transaction.atomic():
        acts = every_act()
        yield program(factories.person("Odile", "manager")), acts
        transaction.set_rollback(True)


@pytest.fixture
def boss(db, room):
    return room[0]


def acts_described() -> dict[str, str]:
    """Name and address of every operation that wants a key."""
    return {
        said["post"]["operationId"]: address
        for address, said in whole_schema()["paths"].items()
        if any(p["name"] == "Idempotency-Key" for p in said.get("post", {}).get("parameters", ()))
    }


def test_every_act_is_tried_here(room):
    assert len(acts_described()) > 70
    assert set(room[1]) == set(acts_described())


ACTS = sorted(acts_described())


@pytest.mark.parametrize("name", ACTS)
def test_the_same_key_is_one_act(boss, room, name):
    address, body = room[1][name]
    key = uuid4()
    before = Entry.objects.count()
    first = boss.post(address, body, key=key)
    assert first.status_code == 201, first.content
    written = Entry.objects.count()
    again = boss.post(address, body, key=key)
    assert again.status_code == 200, again.content
    assert same_row(first.json(), again.json())
    assert Entry.objects.filter(key=key).count() == 1
    assert written > before
    assert Entry.objects.count() == written


def same_row(first: dict, again: dict) -> bool:
    """Whether both tell of one row; the link of an invitation is there once only, an injury has no number."""
    names = [name for name in ("id", "number", "serial", "name", "entered_at") if name in first]
    return bool(names) and all(first[name] == again[name] for name in names)


@pytest.mark.parametrize("name", ACTS)
def test_without_a_key_nothing_is_done(boss, room, name):
    address, body = room[1][name]
    before = Entry.objects.count()
    for key in ("", "7", "not-a-uuid"):
        answer = boss.post(address, body, key=key or " ")
        assert answer.status_code == 400
        assert "Idempotency-Key" in answer.json()["problem"]
    assert Entry.objects.count() == before


@pytest.mark.parametrize("name", ACTS)
def test_a_field_too_many_is_named(boss, room, name):
    address, body = room[1][name]
    before = Entry.objects.count()
    for extra in ("by", "at", "state", "id", "held_at", "volume_l_0", "key"):
        if extra in body:
            continue
        answer = boss.post(address, {**body, extra: "1"})
        assert answer.status_code == 422
        assert answer.json()["fields"][extra] == ["There is no such field here."]
    assert Entry.objects.count() == before


@pytest.mark.parametrize("name", ACTS)
def test_a_nought_byte_in_any_text_is_refused_beside_it(boss, room, name):
    address, body = room[1][name]
    before = Entry.objects.count()
    for field, value in body.items():
        if isinstance(value, str):
            answer = boss.post(address, {**body, field: f"{value}\0"})
            assert answer.status_code == 422, (field, answer.content)
            assert field in answer.json()["fields"]
    assert Entry.objects.count() == before


def test_the_same_key_with_other_words_is_refused(boss, room):
    address, body = room[1]["move_vessel"]
    key = uuid4()
    assert boss.post(address, body, key=key).status_code == 201
    other = boss.post(address, {"place": "somewhere else"}, key=key)
    assert other.status_code == 409
    assert "other content" in other.json()["problem"]
    assert boss.post(room[1]["stir"][0], {}, key=key).status_code == 409


def test_the_same_key_of_another_person_is_refused(boss, room):
    address, body = room[1]["log_use"]
    key = uuid4()
    assert boss.post(address, body, key=key).status_code == 201
    other = program(factories.bram()).post(address, body, key=key)
    assert (other.status_code, other.json().keys()) == (409, {"problem", "fields"})


def test_a_repeat_is_not_judged_by_how_things_stand_now(boss, room):
    # The lot was empty after this pot and is no longer offered; the pot still went in.
    address, body = room[1]["weigh_line"]
    key = uuid4()
    first = boss.post(address, body, key=key)
    lot = boss.told("lots/", code=body["lot"])["results"][0]
    boss.did(f"lots/{lot['id']}/quarantine-lot/", {"reason": "grey specks"})
    assert boss.post(address, body).status_code == 422
    again = boss.post(address, body, key=key)
    assert (again.status_code, again.json()["id"]) == (200, first.json()["id"])
    other = boss.post(address, {**body, "net_g": 7}, key=key)
    assert other.status_code in (409, 422)


NO_OBJECT = {
    "nothing": b"", "half": b"{", "a list": b"[1]", "a text": b'"x"', "null": b"null", "not a number": b"NaN",
    "no text": b"\xff\xfe", "too deep": b"[" * 100_000,
}  # fmt: skip


@pytest.mark.parametrize("body", NO_OBJECT.values(), ids=NO_OBJECT)
def test_what_is_no_json_object_is_refused(boss, room, body):
    answer = boss.post(room[1]["hold_fill"][0], body)
    assert answer.status_code in (400, 422)
    assert answer.status_code == 400 or body == b""
    assert answer.json().keys() == {"problem", "fields"}


NUMBERS = ("1e400", "-1e-400", "1e999999999", "9" * 4000, "Infinity", "1E5", "NaN", "-0", "true")


@pytest.mark.parametrize("number", NUMBERS, ids=lambda number: number[:12])
def test_strange_numbers_are_refused_in_words(boss, room, number):
    address, _ = room[1]["set_policy"]
    answer = boss.post(address, f'{{"name": "fill_limit_pct", "value": {number}}}'.encode())
    assert answer.status_code in (400, 409, 422)
    assert len(answer.json()["problem"]) > 10


@pytest.mark.parametrize(
    ("sent", "kept"), [(1.135, 1.135), ("1.135", 1.135), ("1,5", 1.5), (2, 2.0), ("2.50", 2.5)]
)
def test_a_number_with_a_point_is_taken_exactly(boss, room, sent, kept):
    address, _ = room[1]["water_in"]
    row = boss.did(address, {"volume_l": {"amount": sent, "unit": "L"}})
    assert float(row["volume_l"]) == kept


NO_AMOUNT = (
    5, "5", None, [], {"amount": 5}, {"unit": "L"}, {"amount": True, "unit": "L"},
    {"amount": 5, "unit": "pint"}, {"amount": 5, "unit": "L", "more": 1},
)  # fmt: skip


@pytest.mark.parametrize("amount", NO_AMOUNT, ids=str)
def test_an_amount_without_its_unit_is_refused(boss, room, amount):
    answer = boss.post(room[1]["water_in"][0], {"volume_l": amount})
    assert answer.status_code == 422
    assert "volume_l" in answer.json()["fields"]


def test_rows_of_several_materials_are_named_by_their_number(boss, room):
    address, body = room[1]["add_materials"]
    wrong = {"rows": [body["rows"][0], {"name": "Chalk", "role": "plain", "colour": "x", "opening_g": 5}]}
    answer = boss.post(address, wrong)
    assert answer.status_code == 422
    assert set(answer.json()["fields"]) == {"rows.1.colour", "rows.1.opening_g"}
    many = {"rows": [{"name": f"Clay {n}", "role": "plain"} for n in range(61)]}
    assert "At most 60" in boss.post(address, many).json()["fields"]["rows"][0]
    assert boss.post(address, {"rows": []}).status_code == 422
    assert boss.post(address, {"rows": {"name": "x"}}).status_code == 422
    assert json.dumps(boss.told("materials/", q="Chalk")["results"]) == "[]"


def test_a_changed_rule_stands_among_the_rules_and_their_changes(boss, room):
    address, body = room[1]["set_policy"]
    change = boss.did(address, body)
    assert (change["name"], change["unit"]) == ("fill_limit_pct", "% of the brim")
    rules = {rule["name"]: rule for rule in boss.told("rules/")["results"]}
    assert float(rules["fill_limit_pct"]["value"]) == 84
    assert boss.told("rules/changes/", name="fill_limit_pct")["results"][0] == change
    assert boss.told("rules/changes/", name="hold_back_pct")["results"] == []
