"""Who a program is: by a token of one person, or by the session of a page with its form's token."""

import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from studio.people.models import Token
from studio.people.operations import members, sign_offs, tokens
from studio.room.models import Scale
from tests import factories
from tests.api.asking import BASE, Program, amount, program

pytestmark = pytest.mark.django_db
SCALE = {"name": "Lab scale", "division_g": amount("0.1", "g"), "capacity_g": amount(2, "kg")}


def shut_out(answer) -> bool:
    return (
        answer.status_code == 401
        and set(answer.json()) == {"problem", "fields"}
        and answer.headers["WWW-Authenticate"] == "Bearer"
    )


def test_a_token_does_what_its_person_may(technician, member):
    assert program(technician).did("scales/add-scale/", SCALE)["name"] == "Lab scale"
    assert program(member).post("scales/add-scale/", SCALE).status_code == 403
    assert program(member).told("me/")["username"] == "ilse"


def test_it_is_kept_as_a_digest_alone(technician):
    asking = program(technician)
    row = Token.objects.get(member=technician)
    assert asking.secret not in json.dumps([str(value) for value in vars(row).values()])
    assert len(asking.secret) > 40


def test_a_revoked_one_opens_nothing_any_more(technician):
    asking = program(technician)
    assert asking.get("scales/").status_code == 200
    tokens.revoke_token(token=Token.objects.get(), by=technician)
    assert shut_out(asking.get("scales/"))
    assert shut_out(asking.post("scales/add-scale/", SCALE))
    assert not Scale.objects.exists()


def test_whoever_left_is_out_at_once(technician, manager):
    asking = program(technician)
    members.leave(member=technician, by=manager)
    assert shut_out(asking.get("scales/"))
    members.come_back(member=technician, by=manager)
    assert shut_out(asking.get("scales/"))  # a token that was closed stays closed


def test_a_right_that_ends_ends_for_the_token(helper, manager):
    asking = program(helper)
    assert "weigh" in asking.told("me/")["rights"]
    weighing = helper.sign_offs.get(kind="weighing")
    sign_offs.withdraw_sign_off(sign_off=weighing, member=helper, by=manager)
    assert "weigh" not in asking.told("me/")["rights"]
    helper.sign_offs.filter(kind="wet mixing").update(expires_on=timezone.localdate() - timedelta(days=1))
    assert "wet" not in asking.told("me/")["rights"]


@pytest.mark.parametrize(
    "header",
    [
        "Bearer",
        "Bearer ",
        "Bearer nothing",
        "Bearer a b",
        "bearer",
        "Basic b2RpbGU6eA==",
        "Bearer ünï",
        "x" * 5000,
    ],
)
def test_what_is_no_token_is_shut_out(client, technician, header):
    assert shut_out(client.get(f"{BASE}scales/", headers={"Authorization": header}))


def test_a_part_of_a_token_or_its_digest_is_none(technician):
    asking = program(technician)
    digest = Token.objects.get().digest
    for wrong in (asking.secret[:-1], asking.secret.swapcase(), digest, asking.secret + "x"):
        assert shut_out(Program(wrong, Client()).get("scales/"))


def test_a_session_may_read_and_acts_only_with_the_token_of_our_forms(technician):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(technician)
    assert browser.get(f"{BASE}scales/").status_code == 200

    def post(**headers):
        return browser.post(
            f"{BASE}scales/add-scale/",
            json.dumps(SCALE),
            content_type="application/json",
            headers={"Idempotency-Key": str(uuid4()), **headers},
        )

    answer = post()
    assert (answer.status_code, set(answer.json())) == (403, {"problem", "fields"})
    assert "Bearer" in answer.json()["problem"]
    assert not Scale.objects.exists()
    browser.get("/people/me/change/")
    assert post(**{"X-CSRFToken": browser.cookies["csrftoken"].value}).status_code == 201
    assert post(**{"X-CSRFToken": "x" * 32}).status_code == 403


def test_a_wrong_token_is_not_made_good_by_a_session(technician):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(technician)
    assert shut_out(browser.get(f"{BASE}scales/", headers={"Authorization": "Bearer nothing"}))


def test_the_token_counts_before_the_session(technician, member):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(technician)
    asking = Program(program(member).secret, browser)
    assert asking.told("me/")["username"] == "ilse"
    assert asking.post("scales/add-scale/", SCALE).status_code == 403


def test_no_act_makes_or_revokes_a_token_over_the_api(manager):
    for address in ("tokens/", "me/make-token/", "tokens/1/revoke-token/", "people/1/make-token/"):
        assert program(manager).post(address, {"name": "x"}).status_code == 404
    assert factories.person("Odile").tokens.count() == 4
