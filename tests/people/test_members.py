"""Roles, sign-offs, leaving and coming back, tokens; and what each person sees of it."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from studio.errors import NotAllowed, Refused
from studio.people import rights
from studio.people.acts import story
from studio.people.api_auth import digest_of
from studio.people.errors import HasLeft, LastManager
from studio.people.models import Entry, Invitation, Member, SignOff, Token
from studio.people.operations import joining, members, sign_offs, tokens
from tests.factories import person
from tests.people.test_acts import at_once

pytestmark = pytest.mark.django_db
SOON = timedelta(days=30)


def day(days: int):
    return timezone.localdate() + timedelta(days=days)


def text(answer) -> str:
    return re.sub(r"\s+", " ", answer.content.decode())


def post(client, address, /, *args, **form):
    return client.post(reverse(address, args=args), {"key": str(uuid4()), **form})


# --- roles --------------------------------------------------------------------------------------------


def test_a_manager_changes_a_name_and_a_role(client, manager, member):
    client.force_login(manager)
    answer = post(client, "change-member", member.pk, name="Ilse K.", role="technician")
    assert answer.url == reverse("person", args=[member.pk])
    member = Member.objects.get(pk=member.pk)
    assert (member.name, member.role, member.may(rights.MAKE)) == ("Ilse K.", "technician", True)
    assert story(member).first().act == "person changed"


@pytest.mark.parametrize("form", [{"role": "owner"}, {"role": ""}, {"name": " "}, {"name": "x" * 81}])
def test_a_wrong_change_is_refused_beside_its_field(client, manager, member, form):
    client.force_login(manager)
    answer = post(client, "change-member", member.pk, **({"name": "Ilse", "role": "member"} | form))
    assert answer.status_code == 422
    assert answer.context["form"].errors[next(iter(form))]
    assert "person changed" not in Entry.objects.values_list("act", flat=True)


def test_the_last_manager_neither_steps_down_nor_leaves(client, manager):
    client.force_login(manager)
    answer = post(client, "change-member", manager.pk, name="Odile", role="technician")
    assert answer.status_code == 422
    assert "is the only manager" in text(answer)
    answer = post(client, "leave", manager.pk)
    assert answer.status_code == 422
    assert "is the only manager" in text(answer)
    manager.refresh_from_db()
    assert (manager.role, manager.is_active) == ("manager", True)
    person("Wren", "manager")
    members.change_member(member=manager, name="Odile", role="technician", by=manager)
    assert Member.objects.get(role="manager").name == "Wren"


def test_a_manager_who_left_does_not_count_as_one(manager):
    wren = person("Wren", "manager")
    members.leave(member=wren, by=manager)
    with pytest.raises(LastManager):
        members.leave(member=manager, by=manager)


@pytest.mark.django_db(transaction=True)
def test_two_managers_cannot_step_down_at_once():
    for attempt in range(10):
        both = [person(f"Odile {attempt}", "manager"), person(f"Wren {attempt}", "manager")]
        calls = [lambda m=m: members.change_member(member=m, name=m.name, role="member", by=m) for m in both]
        assert sorted(type(a).__name__ for a in at_once(*calls)) == ["LastManager", "Member"]
        Member.objects.filter(role="manager").update(role="member")


def test_only_a_manager_changes_people(technician, member):
    with pytest.raises(NotAllowed):
        members.change_member(member=technician, name="Bram", role="manager", by=technician)
    for act in (members.leave, members.come_back):
        with pytest.raises(NotAllowed):
            act(member=member, by=technician)
    with pytest.raises(NotAllowed):
        sign_offs.give_sign_off(member=member, kind="weighing", expires_on=day(9), by=technician)


def test_a_posted_role_cannot_ride_along_with_own_details(client, member):
    client.force_login(member)
    post(client, "change-own-details", name="Ilse K.", units="us", role="manager", is_active="")
    member.refresh_from_db()
    assert (member.name, member.units, member.role, member.is_active) == ("Ilse K.", "us", "member", True)


# --- leaving ------------------------------------------------------------------------------------------


def test_who_leaves_keeps_their_rows_and_loses_every_way_in(client, manager, helper):
    wren = person("Wren", "manager")
    invitation = joining.invite(name="Ilse", role="member", days=7, by=wren)
    token = tokens.make_token(name="stock list", by=wren)
    client.force_login(manager)
    assert post(client, "leave", wren.pk).url == reverse("person", args=[wren.pk])
    wren.refresh_from_db()
    assert not wren.is_active
    assert wren.left_at is not None
    assert Token.objects.get(pk=token.pk).revoked_at
    assert Invitation.objects.get(pk=invitation.pk).withdrawn_at
    assert client.get("/api/v1/me/", headers={"Authorization": f"Bearer {token.secret}"}).status_code == 401
    assert "Wren" not in text(client.get(reverse("people"))).split("People</caption>")[1]
    assert "Wren" in text(client.get(reverse("people"), {"left": "1"}))


def test_who_left_comes_back_as_a_member(client, manager):
    wren = person("Wren", "technician", signed_off=("SG",))
    members.leave(member=wren, by=manager)
    with pytest.raises(HasLeft):
        members.change_member(member=wren, name="Wren", role="manager", by=manager)
    with pytest.raises(HasLeft):
        sign_offs.give_sign_off(member=wren, kind="kiln", expires_on=day(9), by=manager)
    client.force_login(manager)
    post(client, "come-back", wren.pk)
    wren.refresh_from_db()
    assert (wren.is_active, wren.left_at, wren.role) == (True, None, "member")
    assert wren.valid_sign_offs == {"SG"}
    with pytest.raises(Refused, match="has not left"):
        members.come_back(member=wren, by=manager)


# --- sign-offs ----------------------------------------------------------------------------------------


def test_a_sign_off_gives_a_helper_a_right_until_its_day(client, manager):
    yusuf = person("Yusuf", "helper")
    assert not yusuf.may(rights.WEIGH)
    client.force_login(manager)
    post(client, "give-sign-off", yusuf.pk, kind="weighing", expires_on=day(30).isoformat())
    sign_off = SignOff.objects.get()
    assert (sign_off.given_by, sign_off.expires_on) == (manager, day(30))
    assert Member.objects.get(pk=yusuf.pk).may(rights.WEIGH)
    SignOff.objects.update(expires_on=day(0))
    assert Member.objects.get(pk=yusuf.pk).may(rights.WEIGH)
    SignOff.objects.update(expires_on=day(-1))
    assert not Member.objects.get(pk=yusuf.pk).may(rights.WEIGH)
    assert "ran out" in text(client.get(reverse("person", args=[yusuf.pk])))


@pytest.mark.parametrize("role", ["member", "helper"])
def test_the_same_sign_off_makes_no_member_a_weigher(manager, role):
    wren = person("Wren", role, signed_off=("weighing", "wet mixing"))
    assert wren.may(rights.WEIGH) == (role == "helper")
    assert wren.may(rights.WET) == (role == "helper")
    assert not wren.may(rights.MAKE)


def test_giving_it_again_renews_it(manager, helper):
    old = helper.sign_offs.get(kind="weighing")
    new = sign_offs.give_sign_off(member=helper, kind="weighing", expires_on=day(300), by=manager)
    old.refresh_from_db()
    assert old.withdrawn_at is not None
    assert helper.sign_offs.get(kind="weighing", withdrawn_at=None) == new


def test_a_sign_off_is_taken_back_once(client, manager, helper):
    sign_off = helper.sign_offs.get(kind="weighing")
    client.force_login(manager)
    post(client, "withdraw-sign-off", sign_off.pk)
    assert not Member.objects.get(pk=helper.pk).may(rights.WEIGH)
    answer = post(client, "withdraw-sign-off", sign_off.pk)
    assert answer.status_code == 422
    assert "taken back or renewed already" in text(answer)
    assert [e.act for e in story(helper)[:1]] == ["sign-off withdrawn"]


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("expires_on", ""),
        ("expires_on", "next year"),
        ("expires_on", "31/31/2027"),
        ("expires_on", "2001-01-01"),
        ("kind", "flying"),
        ("kind", ""),
    ],
)
def test_a_wrong_sign_off_is_refused_beside_its_field(client, manager, helper, field, typed):
    client.force_login(manager)
    form = {"kind": "kiln", "expires_on": day(30).isoformat(), field: typed}
    answer = post(client, "give-sign-off", helper.pk, **form)
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert not helper.sign_offs.filter(kind="kiln").exists()


# --- tokens -------------------------------------------------------------------------------------------


def test_a_token_is_shown_once_and_opens_the_api(client, client_factory, member):
    client.force_login(member)
    key = str(uuid4())
    answer = client.post(reverse("make-token"), {"key": key, "name": "stock list"})
    secret = re.search(r'id="secret"[^>]*>([^<]+)<', text(answer))[1]
    assert len(secret) >= 43
    token = Token.objects.get()
    assert token.digest == digest_of(secret)
    assert secret not in str(Entry.objects.values_list("content", flat=True))
    assert "shown before" in text(client.post(reverse("make-token"), {"key": key, "name": "stock list"}))
    program = client_factory()
    headers = {"Authorization": f"Bearer {secret}"}
    assert program.get("/api/v1/me/", headers=headers).json()["username"] == "ilse"
    assert secret not in text(client.get(reverse("me")))
    post(client, "revoke-token", token.pk)
    assert program.get("/api/v1/me/", headers=headers).status_code == 401
    with pytest.raises(Refused, match="is revoked already"):
        tokens.revoke_token(token=token, by=member)


def test_nobody_revokes_anothers_token_but_a_manager(client, member, technician, manager):
    token = tokens.make_token(name="stock list", by=member)
    client.force_login(technician)
    assert post(client, "revoke-token", token.pk).status_code == 404
    with pytest.raises(NotAllowed):
        tokens.revoke_token(token=token, by=technician)
    client.force_login(manager)
    assert post(client, "revoke-token", token.pk).url == reverse("person", args=[member.pk])
    assert Token.objects.get().revoked_at


# --- who sees what ------------------------------------------------------------------------------------


def test_a_member_sees_names_and_roles_only(client, member, helper, technician, manager):
    joining.invite(name="Wanda", role="member", days=7, by=manager)
    members.leave(member=person("Wren"), by=manager)
    for somebody in (member, technician):
        client.force_login(somebody)
        page = text(client.get(reverse("people"), {"left": "1"}))
        for shown in ("Ilse", "Yusuf", "helper", "Bram", "Odile", "manager"):
            assert shown in page
        for private in ("yusuf", "weighing", "until", "Wanda", "Wren", "Invite"):
            assert private not in page
        assert client.get(reverse("person", args=[helper.pk])).status_code == 403


def test_a_manager_sees_sign_offs_links_and_who_left(client, member, helper, manager):
    joining.invite(name="Wanda", role="member", days=7, by=manager)
    client.force_login(manager)
    page = text(client.get(reverse("people")))
    assert "wet mixing" in page
    assert f"until {day(30).day} {day(30):%b %Y}" in page
    assert "Wanda" in page
    assert "Yusuf" in text(client.get(reverse("people"), {"q": "yus"}))
    assert "Ilse" not in text(client.get(reverse("people"), {"q": "yus"})).split("People</caption>")[1]
    assert "No name holds “%_\\”" in text(client.get(reverse("people"), {"q": "%_\\"}))
    assert client.get(reverse("people"), {"q": "\x00"}).status_code == 200


def test_oneself_with_rights_and_sign_offs(client, helper):
    client.force_login(helper)
    page = text(client.get(reverse("me")))
    assert "helper · signs in as yusuf" in page
    assert "Yes: </span>to weigh a batch" in page
    assert "Not: </span>to change the store" in page


def test_the_pages_cost_the_same_however_many_people(client, manager, helper, django_assert_max_num_queries):
    for n in range(120):
        person(f"Person {n:03}", "helper", signed_off=("SG", "weighing") if n < 20 else ())
    client.force_login(manager)
    for address in (reverse("people"), reverse("person", args=[helper.pk]), reverse("me")):
        with django_assert_max_num_queries(12):
            assert client.get(address).status_code == 200
    assert "The next ones" in text(client.get(reverse("people")))
    assert "Yusuf" in text(client.get(reverse("people"), {"page": "2"}))


def test_markup_in_a_name_is_shown_not_run(client, manager):
    wren = person("<script>alert(1)</script>")
    client.force_login(manager)
    for address in (reverse("people"), reverse("person", args=[wren.pk]), reverse("leave", args=[wren.pk])):
        page = text(client.get(address))
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert(1)" in page
