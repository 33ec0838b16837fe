"""Long lists come in pages by cursor, newest first; every row once, whatever the size of a page."""

from urllib.parse import parse_qs, urlsplit

import pytest

from studio.api_kit.schema import whole_schema
from tests import factories
from tests.api.asking import program

pytestmark = pytest.mark.django_db


@pytest.fixture
def bram(technician):
    for number in range(7):
        factories.ScaleFactory(name=f"Scale {number}")
    return program(technician)


def walked(who, address: str, **query) -> tuple[list[int], list[str]]:
    """The ids of all pages, forwards, and the addresses of the way."""
    seen, links = [], []
    page = who.told(address, **query)
    while True:
        seen += [row["id"] for row in page["results"]]
        if page["next"] is None:
            return seen, links
        links.append(page["next"])
        page = who.told(address, **flat(page["next"]))


def flat(link: str) -> dict[str, str]:
    return {name: values[0] for name, values in parse_qs(urlsplit(link).query).items()}


@pytest.mark.parametrize("size", [1, 2, 3, 7, 200])
def test_every_row_once_and_the_newest_first(bram, size):
    seen, links = walked(bram, "scales/", page_size=size)
    assert len(seen) == len(set(seen)) == 7
    assert seen == sorted(seen, reverse=True)
    assert len(links) == (7 - 1) // size


def test_back_the_same_way(bram):
    first = bram.told("scales/", page_size=3)
    second = bram.told("scales/", **flat(first["next"]))
    assert first["previous"] is None
    assert bram.told("scales/", **flat(second["previous"]))["results"] == first["results"]


def test_a_row_that_comes_meanwhile_moves_no_other(bram):
    first = bram.told("scales/", page_size=4)
    factories.ScaleFactory(name="new")
    second = bram.told("scales/", **flat(first["next"]))
    ids = [row["id"] for row in first["results"] + second["results"]]
    assert len(ids) == len(set(ids)) == 7


def test_what_was_asked_stays_asked_on_the_next_page(bram):
    made = [factories.VesselFactory() for _ in range(3)]
    seen, links = walked(bram, "vessels/", state="in service", page_size=1)
    assert seen == [vessel.pk for vessel in reversed(made)]
    assert all("state=in+service" in link for link in links)


# no base64; p=abc; p=99999999999999999999; o=-1; r=x; letters that are none of base64's
NO_CURSORS = ("x", "cD1hYmM=", "cD05OTk5OTk5OTk5OTk5OTk5OTk5OQ==", "bz0tMQ==", "cj14", "é", "🙂")


@pytest.mark.parametrize("cursor", NO_CURSORS)
def test_a_cursor_that_leads_nowhere_is_said(bram, cursor):
    answer = bram.get("scales/", cursor=cursor)
    assert (answer.status_code, set(answer.json()["fields"])) == (400, {"cursor"})


@pytest.mark.parametrize("size", ["0", "-1", "201", "2.0", "", "many", "٣", "9" * 400])
def test_a_page_size_that_is_none_is_said(bram, size):
    answer = bram.get("scales/", page_size=size)
    assert (answer.status_code, set(answer.json()["fields"])) == (400, {"page_size"})


def test_every_list_has_the_shape_of_a_page():
    components = whole_schema()["components"]["schemas"]
    pages = {
        name: shape
        for name, shape in components.items()
        if {"results", "next"} <= set(shape.get("properties", {}))
    }
    assert len(pages) > 15
    for shape in pages.values():
        assert set(shape["required"]) == {"next", "previous", "results"}
    lists = [
        said["get"]
        for address, said in whole_schema()["paths"].items()
        if "get" in said and address.count("{") == 0
    ]
    plain = {said["operationId"] for said in lists if "results" not in shape_of(said, components)}
    assert plain == {"me", "material_density"}


def shape_of(said, components) -> dict:
    ref = said["responses"]["200"]["content"]["application/json"]["schema"]["$ref"]
    return components[ref.rpartition("/")[2]]["properties"]


@pytest.mark.parametrize("address", ["fills/", "batches/", "versions/", "movements/", "people/", "requests/"])
def test_few_queries_however_long_the_list(bram, django_assert_max_num_queries, address):
    factories.BatchFactory(state="released")
    for _ in range(4):
        factories.FillFactory(vessel=factories.VesselFactory())
        factories.RequestFactory(vessel=None)
    with django_assert_max_num_queries(10):
        assert len(bram.told(address)["results"]) >= 1
