"""Every address of the house, as everybody and as nobody: found by walking the URLs, judged by one table.

An address without a line in expectations.py fails here by its name; so does a line without an address.
"""

from collections import Counter
from collections.abc import Iterator
from uuid import uuid4

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from studio.people.models import Entry, Member
from tests import factories
from tests.people.expectations import (
    ALL,
    ASKED_EACH_TIME,
    EXPECTED,
    NONE,
    ONLY_WITH_PASSWORD,
    PARTS,
    SHOWN,
    room_may,
)
from tests.people.sample_rows import Studio, studio

WHO = ("nobody", "member", "learner", "helper", "technician", "manager")


def addresses(resolver: URLResolver, before: str = "") -> Iterator[tuple[str, str]]:
    """(name, route) of every address; the route of one without a name is its name."""
    for entry in resolver.url_patterns:
        route = before + str(entry.pattern)
        if isinstance(entry, URLPattern):
            yield entry.name or route, route
        else:
            yield from addresses(entry, route)


ROUTES = list(addresses(get_resolver()))
NAMES = sorted({name for name, _ in ROUTES})


# --- the table and the house agree --------------------------------------------------------------------


def test_the_walk_finds_the_house():
    assert len(ROUTES) > 120
    assert {"people/", "shelf/<str:code>/", "api/v1/fills/<int:pk>/stir/"} <= {route for _, route in ROUTES}


@pytest.mark.parametrize("name", NAMES)
def test_every_address_has_an_expectation(name):
    assert name in EXPECTED, f"say in tests/people/expectations.py who may open {name!r}"


def test_every_expectation_has_an_address():
    assert sorted(set(EXPECTED) - set(NAMES)) == []


def test_no_two_addresses_share_a_name():
    assert [name for name, times in Counter(name for name, _ in ROUTES).items() if times > 1] == []


# --- who may --------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def house(django_db_setup, django_db_blocker):
    """The sample studio and a session for each person, made once; every request is taken back after it."""
    with django_db_blocker.unblock(), transaction.atomic():
        rows = studio()
        sessions = {}
        for who, person in rows.people.items():
            client = Client()
            client.force_login(person)
            sessions[who] = client.cookies["sessionid"].value
        sessions |= {f"{who} at the tablet": _tablet(person) for who, person in _choosing(rows).items()}
        yield rows, sessions
        transaction.set_rollback(True)


def _choosing(rows: Studio) -> dict[str, Member | None]:
    return {"nobody": None} | {who: rows.people[who] for who in ("learner", "technician", "manager")}


def _tablet(person: Member | None) -> str:
    """The key of a session of the room, lent to this person."""
    client = Client()
    client.force_login(factories.the_room())
    if person is not None:
        pin = {"tablet-looks": "1", "tablet-person": person.pk, "tablet-pin": "7308"}
        factories.with_pin(person)
        assert client.post(reverse("who"), pin).status_code == 302
    return client.cookies["sessionid"].value


def ask(house: tuple[Studio, dict[str, str]], who: str, method: str, name: str, **how):
    """One request, and how many lines it added to the journal; nothing of it stays."""
    rows, sessions = house
    client = Client(raise_request_exception=False, **how)
    if who in sessions:
        client.cookies["sessionid"] = sessions[who]
    address = reverse(name, kwargs=rows.kwargs(EXPECTED[name][2], who.removesuffix(" at the tablet")))
    more = {}
    if address.startswith("/api/") and method == "POST":
        more = {
            "data": "{}",
            "content_type": "application/json",
            "headers": {"Idempotency-Key": str(uuid4())},
        }
    with transaction.atomic():
        before = Entry.objects.count()
        answer = getattr(client, method.lower())(address, **more)
        added = Entry.objects.count() - before
        transaction.set_rollback(True)
    return answer, added


def kept_out(answer, who: str, api: bool) -> bool:
    if who == "nobody":
        to_login = answer.status_code == 302 and answer.url.startswith("/people/login/?next=")
        return answer.status_code == 401 if api else to_login
    return answer.status_code == 403


def let_in(answer) -> bool:
    to_login = answer.status_code == 302 and answer.url.startswith("/people/login/?next=")
    return answer.status_code < 500 and answer.status_code not in (401, 403, 404, 405) and not to_login


def wrongs(house, name: str) -> Iterator[str]:
    """What does not go by the table at one address."""
    for place, method in enumerate(("GET", "POST")):
        shown = EXPECTED[name][place] is SHOWN
        allowed = EXPECTED[name][0] if shown else EXPECTED[name][place]
        for who in WHO:
            answer, added = ask(house, who, method, name)
            if who in allowed:
                right = let_in(answer) and (added == 0 or (method == "POST" and not shown))
            elif allowed == NONE and answer.status_code == 405:
                right = added == 0
            else:
                right = kept_out(answer, who, name.startswith("api-")) and added == 0
            if not right:
                yield f"{name}: {method} by {who} gives {answer.status_code}, {added} acts written"


@pytest.mark.parametrize("part", sorted(PARTS))
def test_every_address_opens_to_those_it_should(db, house, part):
    names = [name for name in PARTS[part] if name in NAMES]
    assert len(names) > 2
    assert [line for name in names for line in wrongs(house, name)] == []


def asked_or_refused(answer) -> bool:
    """The tablet asks who it is, or says that this is done elsewhere."""
    page = answer.content.decode()
    asks = 'name="tablet-person"' in page
    return answer.status_code == 403 and (asks or "sign in with your own password" in page)


def wrongs_at_the_tablet(house, name: str) -> Iterator[str]:
    """What does not go by the table at the tablet, with nobody and with each of some people chosen."""
    get, post, _ = EXPECTED[name]
    for method, allowed in (("GET", get), ("POST", get if post is SHOWN else post)):
        api, shown = name.startswith("api-"), method == "GET" or post is SHOWN
        closed = name in ONLY_WITH_PASSWORD or (method == "POST" and name in ASKED_EACH_TIME)
        for who in ("nobody", "learner", "technician", "manager"):
            answer, added = ask(house, f"{who} at the tablet", method, name)
            if allowed == NONE and answer.status_code == 405:
                right = added == 0
            elif api:
                right = let_in(answer) if allowed == ALL else answer.status_code == 403 and added == 0
            elif room_may(name, method):
                right = let_in(answer) and (added == 0 or not shown)
            elif who == "nobody" or who not in allowed or closed:
                right = asked_or_refused(answer) and added == 0
            else:
                right = let_in(answer) and (added == 0 or not shown)
            if not right:
                yield f"{name}: {method} at the tablet, {who}: {answer.status_code}, {added} acts written"


@pytest.mark.parametrize("part", sorted(PARTS))
def test_every_address_at_the_tablet(db, house, part):
    names = [name for name in PARTS[part] if name in NAMES]
    assert len(names) > 2
    wrong = [line for name in names for line in wrongs_at_the_tablet(house, name)]
    assert wrong == [], "\n".join(wrong)


def test_a_post_from_elsewhere_does_nothing(db, house):
    # A form on another site can send the manager's cookie, but not the token of our form.
    posted = [n for n in NAMES if EXPECTED.get(n, (NONE, NONE))[1] not in (NONE, ALL, SHOWN)]
    assert len(posted) > 100
    answers = {name: ask(house, "manager", "POST", name, enforce_csrf_checks=True) for name in posted}
    done = {name: added for name, (answer, added) in answers.items() if answer.status_code != 403 or added}
    assert done == {}
