"""People over the API: the same acts, the same words, one error shape."""

import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from studio.people.models import Invitation, Member, SignOff
from studio.people.operations import joining, tokens
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db
BASE = "/api/v1/"


@pytest.fixture
def api(client):
    """``api(person, "POST", "people/3/leave/", {...})``: one call with a fresh token of that person."""

    def call(person, method, address, body=None, key=None):
        headers = {"Idempotency-Key": str(key or uuid4())} if method == "POST" else {}
        if person is not None:
            headers["Authorization"] = f"Bearer {tokens.make_token(name='test', by=person).secret}"
        sent = (
            {"data": json.dumps(body or {}), "content_type": "application/json"} if method == "POST" else {}
        )
        return getattr(client, method.lower())(BASE + address, headers=headers, **sent)

    return call


def a_year() -> str:
    return (timezone.localdate() + timedelta(days=365)).isoformat()


def test_names_and_roles_for_members_the_rest_for_managers(api, member, helper, manager):
    rows = api(member, "GET", "people/").json()["results"]
    assert {"id": helper.pk, "name": "Yusuf", "role": "helper"} in rows
    answer = api(member, "GET", f"people/{helper.pk}/")
    assert answer.status_code == 403
    assert answer.json() == {
        "problem": "You need the right to invite people and set their roles (manager).",
        "fields": {},
    }
    one = api(manager, "GET", f"people/{helper.pk}/").json()
    assert one["username"] == "yusuf"
    assert {s["kind"] for s in one["sign_offs"]} == {"weighing", "wet mixing", "SG"}
    assert "password" not in json.dumps(one)


def test_oneself_with_rights(api, helper):
    me = api(helper, "GET", "me/").json()
    assert me["name"] == "Yusuf"
    assert "weigh" in me["rights"]
    assert "make" not in me["rights"]


def test_an_invitation_gives_its_link_in_the_first_answer_only(api, manager):
    key = uuid4()
    body = {"name": "Ilse", "role": "member", "days": 7}
    first = api(manager, "POST", "invitations/invite/", body, key)
    assert first.status_code == 201
    link = first.json()["link"]
    assert link.startswith("http://127.0.0.1:8000/people/join/")
    again = api(manager, "POST", "invitations/invite/", body, key)
    assert (again.json()["id"], again.json()["link"]) == (first.json()["id"], "")
    other = api(manager, "POST", "invitations/invite/", {**body, "days": 8}, key)
    assert other.status_code == 409
    assert "sent before with other content" in other.json()["problem"]
    assert Invitation.objects.count() == 1
    joining.join(code=link.split("/")[-2], name="Ilse", username="ilse", password=PASSWORD)
    listed = api(manager, "GET", "invitations/").json()["results"]
    assert [(i["name"], i["link"]) for i in listed] == [("Ilse", "")]


def test_the_acts_about_a_person(api, manager, member):
    changed = api(manager, "POST", f"people/{member.pk}/change-member/", {"name": "Ilse", "role": "helper"})
    assert (changed.status_code, changed.json()["role"]) == (201, "helper")
    given = api(
        manager, "POST", f"people/{member.pk}/give-sign-off/", {"kind": "weighing", "expires_on": a_year()}
    )
    assert given.status_code == 201
    assert Member.objects.get(pk=member.pk).may("weigh")
    taken = api(manager, "POST", f"sign-offs/{given.json()['id']}/withdraw-sign-off/")
    assert taken.status_code == 201
    assert SignOff.objects.get(kind="weighing").withdrawn_at
    assert api(manager, "POST", f"people/{member.pk}/leave/").json()["left_at"]
    assert api(manager, "POST", f"people/{member.pk}/come-back/").json()["left_at"] is None


def test_a_refusal_stands_beside_its_field(api, manager):
    answer = api(manager, "POST", f"people/{manager.pk}/change-member/", {"name": "Odile", "role": "member"})
    assert answer.status_code == 409
    assert answer.json()["fields"].keys() == {"role"}
    assert "is the only manager" in answer.json()["problem"]


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({}, "kind"),
        ({"kind": "kiln"}, "expires_on"),
        ({"kind": "flying", "expires_on": "2031-01-01"}, "kind"),
        ({"kind": "kiln", "expires_on": "soon"}, "expires_on"),
        ({"kind": "kiln", "expires_on": ["2031-01-01"]}, "expires_on"),
        ({"kind": "kiln", "expires_on": "2031-01-01", "given_by": 1}, "given_by"),
        ({"kind": {"amount": 1}, "expires_on": "2031-01-01"}, "kind"),
        ({"kind": "ki\u0000ln", "expires_on": "2031-01-01"}, "kind"),
    ],
)
def test_wrong_bodies_are_answered_never_a_fault(api, manager, helper, body, field):
    before = SignOff.objects.count()
    answer = api(manager, "POST", f"people/{helper.pk}/give-sign-off/", body)
    assert answer.status_code == 422
    assert field in answer.json()["fields"]
    assert SignOff.objects.count() == before


@pytest.mark.parametrize(
    "body", [{"kind": "\ud800"}, {"kind": ["\udfff"]}, {"kind": {"amount": "\ud800"}}, [], "kind", 7, None]
)
def test_what_is_no_object_of_text_is_answered(client, manager, helper, body):
    client.force_login(manager)
    answer = client.post(
        f"{BASE}people/{helper.pk}/give-sign-off/",
        data=json.dumps(body),
        content_type="application/json",
        headers={"Idempotency-Key": str(uuid4())},
    )
    assert answer.status_code == 400
    assert answer.json()["problem"]


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 401),
        ({"Authorization": "Bearer nothing"}, 401),
        ({"Authorization": "Bearer a b"}, 401),
        ({"Authorization": "Bearer ünï"}, 401),
        ({"Authorization": "Basic b2RpbGU6eA=="}, 401),
    ],
)
def test_without_a_good_token_nothing_opens(client, headers, status):
    answer = client.get(BASE + "me/", headers=headers)
    assert answer.status_code == status
    assert answer.json().keys() == {"problem", "fields"}
    assert answer.headers["WWW-Authenticate"] == "Bearer"


def test_an_act_needs_a_key_of_its_own(client, manager, member):
    client.force_login(manager)
    for headers in ({}, {"Idempotency-Key": "not a uuid"}):
        answer = client.post(
            f"{BASE}people/{member.pk}/leave/", "{}", content_type="application/json", headers=headers
        )
        assert answer.status_code == 400
        assert "Idempotency-Key" in answer.json()["problem"]
    assert Member.objects.get(pk=member.pk).is_active


def test_no_address_makes_a_token(api, member):
    for address in ("tokens/", "me/tokens/", "me/make-token/"):
        assert api(member, "POST", address, {"name": "x"}).status_code == 404
