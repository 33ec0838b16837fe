"""The description of the API: clean, whole, the same names as the pages, and readable by people."""

import re

import pytest
from django.core.management import call_command
from django.urls import URLPattern, URLResolver, get_resolver

from studio.api_kit.rows import UNITS
from studio.api_kit.schema import right_in_words, whole_schema
from studio.people import rights
from studio.people.doors import OPEN, right_of
from tests.look.measures import OPEN_ALL, faults_by_axe, faults_of_size
from tests.people.expectations import EXPECTED, NONE, SHOWN

PATHS = whole_schema()["paths"]
OPERATIONS = [(address, method, said) for address in PATHS for method, said in PATHS[address].items()]


def named_addresses(resolver: URLResolver, before: str = ""):
    for entry in resolver.url_patterns:
        if isinstance(entry, URLPattern):
            yield entry.name, before + str(entry.pattern), entry.callback
        else:
            yield from named_addresses(entry, before + str(entry.pattern))


ADDRESSES = list(named_addresses(get_resolver()))
API = {name: (route, view) for name, route, view in ADDRESSES if (name or "").startswith("api-")}


def test_it_is_valid_and_without_a_warning(tmp_path):
    call_command("spectacular", validate=True, fail_on_warn=True, file=str(tmp_path / "schema.yml"))
    assert (tmp_path / "schema.yml").read_text().startswith("openapi: 3.0")


def test_it_describes_every_address_of_the_api():
    described = {re.sub(r"{\w+}", "*", address) for address in PATHS}
    built = {"/" + re.sub(r"<[^>]+>", "*", route) for name, (route, _) in API.items()}
    assert built - described == {"/api/v1/schema/", "/api/v1/docs/"}
    assert described <= built
    assert len(OPERATIONS) > 120


def test_names_are_told_once_and_lead_to_the_address():
    names = [said["operationId"] for _, _, said in OPERATIONS]
    assert len(names) == len(set(names))
    for name in names:
        assert re.fullmatch("[a-z_]+", name)


@pytest.mark.parametrize(("address", "method", "said"), OPERATIONS, ids=lambda v: str(v)[:70])
def test_every_operation_says_its_right_and_its_answers(address, method, said):
    right = said["x-right"]
    assert right == OPEN or right in rights.WORDS
    assert said["description"].endswith(right_in_words(right))
    assert len(said["summary"]) >= 8
    assert not re.search(r"``|[A-Z]\w+\(|\bNone\b|kwargs", said["description"])
    answers = set(said["responses"])
    assert answers >= {"200", "400", "401", "403", "429"}
    assert ("404" in answers) == ("{" in address)
    assert (method == "post") == ("422" in answers)


def test_the_right_that_is_told_is_the_right_that_opens():
    told = {"/" + re.sub(r"{\w+}", "*", a).lstrip("/"): said["x-right"] for a, _, said in OPERATIONS}
    for route, view in API.values():
        address = "/" + re.sub(r"<[^>]+>", "*", route)
        if address in told:
            method = "GET" if "get" in dir(view.cls) else "POST"
            assert told[address] == right_of(view, method), address


def test_an_act_has_one_name_everywhere():
    acts = [(address, said) for address, method, said in OPERATIONS if wants_key(said)]
    assert len(acts) > 70
    for address, said in acts:
        dashes = said["operationId"].replace("_", "-")
        assert address.rstrip("/").rpartition("/")[2] == dashes
        assert f"api-{dashes}" in API


def wants_key(said) -> bool:
    return any(p["name"] == "Idempotency-Key" and p["required"] for p in said.get("parameters", ()))


# Signing in, passwords, PINs, joining, the first manager and tokens are for people in front of a page.
PAGES_ALONE = {
    "login", "logout", "found-studio", "join", "change-password", "allow-new-password", "set-new-password",
    "make-token", "revoke-token", "add-room-account", "set-pin", "remove-own-pin", "remove-pin", "done",
}  # fmt: skip
OTHERWISE_NAMED = {
    "labels": "print-bucket-label", "ask": "ask-for-glaze", "notices": "mark-all-read",
    "use-table": "file-sheet", "rounds": "begin-round", "round": "stop-at",
}  # fmt: skip


def test_every_act_of_a_page_is_there_for_programs():
    acts = {name for name, (_, post, _) in EXPECTED.items() if post not in (NONE, SHOWN)}
    pages = {name for name in acts if not name.startswith("api-")} - PAGES_ALONE
    assert len(pages) > 60
    missing = {name for name in pages if f"api-{OTHERWISE_NAMED.get(name, name)}" not in API}
    assert missing == set()
    for name in pages:
        theirs, ours = EXPECTED[name][1], EXPECTED[f"api-{OTHERWISE_NAMED.get(name, name)}"][1]
        assert ours == theirs or "nobody" in theirs, name


UNIT_WORDS = {unit.split(",")[0] for _, unit in UNITS} | {"minutes", "hours", "in the"}
SAID_WITHIN = ("no unit", "°C", "in the unit")  # where the number is named first


def test_every_number_that_is_answered_has_its_unit():
    untold = []
    for name, shape in whole_schema()["components"]["schemas"].items():
        for field, said in shape.get("properties", {}).items():
            number = said.get("format") in ("decimal", "double") or said.get("type") == "number"
            words = said.get("description", "")
            told = words.startswith(tuple(UNIT_WORDS)) or any(unit in words for unit in SAID_WITHIN)
            if number and not told:
                untold.append(f"{name}.{field}: {said.get('description')}")
    assert untold == []


def test_it_is_open_and_asks_the_database_nothing(client, db, django_assert_num_queries):
    with django_assert_num_queries(0):
        answer = client.get("/api/v1/schema/")
    assert answer.json()["info"]["title"] == "Stirbook"
    with django_assert_num_queries(0):
        page = client.get("/api/v1/docs/")
    text = page.content.decode()
    assert page.status_code == 200
    for _, _, said in OPERATIONS:
        assert f'id="{said["operationId"]}"' in text
    for name in set(re.findall(r'href="#(shape-\w+)"', text)):
        assert f'id="{name}"' in text
    assert "g to weigh" in text
    assert not re.search(r"\sstyle=|<style|<script(?![^>]*\ssrc=)|\son\w+=", text)


@pytest.mark.browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_page_fits_a_phone_and_axe_finds_nothing(page, live_server, scheme):
    page.set_viewport_size({"width": 390, "height": 800})
    page.emulate_media(color_scheme=scheme)
    complaints = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.goto(f"{live_server.url}/api/v1/docs/")
    assert faults_of_size(page, 390) == []
    page.evaluate(OPEN_ALL)
    assert faults_of_size(page, 390) == []
    assert faults_by_axe(page, scheme) == []
    assert complaints == []
