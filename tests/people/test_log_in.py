"""Signing in and out, and the wait after five wrong passwords."""

import re
from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth import get_user
from django.contrib.auth.hashers import identify_hasher, make_password
from django.test import override_settings
from django.urls import reverse
from django.utils import timezone

from studio import settings as house
from studio.people.operations import members, passwords
from tests.factories import PASSWORD, person

pytestmark = pytest.mark.django_db


def sign_in(client, username="ilse", password=PASSWORD, **other):
    return client.post(
        reverse("login"), {"username": username, "password": password, **other.pop("form", {})}, **other
    )


def text(answer) -> str:
    return re.sub(r"\s+", " ", answer.content.decode())


@pytest.mark.parametrize("typed", ["ilse", "Ilse", " ILSE ", "ｉｌｓｅ"])
def test_a_member_signs_in_however_the_name_is_spelled(client, member, typed):
    answer = sign_in(client, typed)
    assert (answer.status_code, answer.url) == (302, "/")
    assert get_user(client) == member


def test_signing_in_begins_a_new_session(client, member):
    session = client.session
    session["kept"] = "from before"
    session.save()
    before = session.session_key
    sign_in(client)
    assert client.session.session_key != before
    after = client.session.session_key
    client.post(reverse("logout"))
    assert client.session.session_key != after
    client.cookies["sessionid"] = after
    assert not get_user(client).is_authenticated


@pytest.mark.parametrize(
    ("username", "password"),
    [("ilse", "wrong-but-long"), ("nobody", PASSWORD), ("", ""), ("x" * 5000, PASSWORD)],
)
def test_a_wrong_name_or_password_is_one_sentence_and_keeps_the_name(client, member, username, password):
    answer = sign_in(client, username, password)
    assert answer.status_code == 422
    assert answer.context["form"].errors
    assert not get_user(client).is_authenticated
    if username in ("ilse", "nobody"):
        assert "This name and password do not belong together" in text(answer)
        assert f'value="{username}"' in text(answer)
    if password:
        assert password not in text(answer)


@pytest.mark.parametrize(
    ("wanted", "given"),
    [
        ("/shelf/B05/?q=1", "/shelf/B05/?q=1"),
        ("https://elsewhere.example/", "/"),
        ("//elsewhere.example/", "/"),
        ("/\\elsewhere.example", "/"),
        ("javascript:alert(1)", "/"),
        ("http:///elsewhere.example", "/"),
        ("", "/"),
    ],
)
def test_after_signing_in_one_stays_in_the_house(client, member, wanted, given):
    assert sign_in(client, form={"next": wanted}).url == given
    client.logout()
    page = client.get(reverse("login"), {"next": wanted})
    assert ('name="next"' in text(page)) == (wanted == given)


def test_a_closed_page_asks_to_sign_in_and_goes_on_there(client, member):
    answer = client.get("/people/?q=a")
    assert answer.url == "/people/login/?next=/people/%3Fq%3Da"
    assert sign_in(client, form={"next": "/people/?q=a"}).url == "/people/?q=a"


def test_signing_out_takes_a_post(client, member):
    client.force_login(member)
    assert client.get(reverse("logout")).status_code == 405
    assert get_user(client) == member
    assert client.post(reverse("logout")).url == reverse("login")
    assert not get_user(client).is_authenticated


def test_signing_in_needs_the_token_of_the_form(client_factory, member):
    strict = client_factory(enforce_csrf_checks=True)
    assert sign_in(strict).status_code == 403
    assert not get_user(strict).is_authenticated


def test_who_left_is_out_at_once_and_cannot_come_in(client, member, manager):
    client.force_login(member)
    members.leave(member=member, by=manager)
    assert client.get(reverse("me")).status_code == 302
    assert sign_in(client).status_code == 422


def test_passwords_are_kept_with_argon2():
    with override_settings(PASSWORD_HASHERS=house.PASSWORD_HASHERS):
        assert identify_hasher(make_password(PASSWORD)).algorithm == "argon2"


# --- the throttle -------------------------------------------------------------------------------------


@pytest.fixture
def throttled(settings):
    settings.AXES_ENABLED = True


def wrong(client, times, username="ilse", **other):
    return [sign_in(client, username, f"wrong-{n}", **other).status_code for n in range(times)]


@pytest.mark.usefixtures("throttled")
def test_five_wrong_passwords_close_signing_in_for_ten_minutes(client, member):
    began = timezone.now()
    with time_machine.travel(began, tick=False):
        assert wrong(client, 5) == [422, 422, 422, 422, 429]
        answer = sign_in(client)
        assert answer.status_code == 429
        assert "closed for ten minutes" in text(answer)
        assert not get_user(client).is_authenticated
    with time_machine.travel(began + timedelta(minutes=9, seconds=58), tick=False):
        assert sign_in(client).status_code == 429
    with time_machine.travel(began + timedelta(minutes=10, seconds=1), tick=False):
        assert sign_in(client).status_code == 302
    assert get_user(client) == member


@pytest.mark.usefixtures("throttled")
def test_trying_on_while_closed_does_not_make_it_longer(client, member):
    began = timezone.now()
    with time_machine.travel(began, tick=False):
        wrong(client, 5)
    with time_machine.travel(began + timedelta(minutes=8), tick=False):
        assert wrong(client, 3) == [429, 429, 429]
    with time_machine.travel(began + timedelta(minutes=10, seconds=1), tick=False):
        assert sign_in(client).status_code == 302


@pytest.mark.usefixtures("throttled")
def test_other_spellings_of_a_name_are_the_same_count(client, member):
    spellings = ["ilse", "Ilse", "ILSE", " ilse", "ｉｌｓｅ"]
    assert [wrong(client, 1, name)[0] for name in spellings] == [422, 422, 422, 422, 429]
    assert sign_in(client, "iLSe").status_code == 429


@pytest.mark.usefixtures("throttled")
def test_the_count_is_for_one_name_at_one_address(client, member):
    person("Wren")
    wrong(client, 5)
    assert sign_in(client, "wren").status_code == 302
    client.post(reverse("logout"))
    assert sign_in(client).status_code == 429
    assert sign_in(client, REMOTE_ADDR="192.168.1.40").status_code == 302


@pytest.mark.usefixtures("throttled")
def test_a_right_password_begins_the_count_anew(client, member):
    for _ in range(3):
        assert wrong(client, 4) == [422] * 4
        assert sign_in(client).status_code == 302
        client.post(reverse("logout"))


@pytest.mark.usefixtures("throttled")
def test_a_name_that_does_not_exist_is_closed_alike(client):
    assert wrong(client, 5, "nobody") == [422, 422, 422, 422, 429]


@pytest.mark.usefixtures("throttled")
def test_a_new_password_by_a_managers_link_opens_it_again(client, member, manager):
    wrong(client, 5)
    code = passwords.allow_new_password(member=member, by=manager).code
    passwords.set_new_password(member=member, code=code, password="a-lid-for-every-pail")
    assert sign_in(client, password="a-lid-for-every-pail").status_code == 302
