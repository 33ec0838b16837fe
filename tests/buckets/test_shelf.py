"""The shelf: every bucket with its answer, found by what people remember of it, flat in queries."""

import html
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from buckets.operations import care
from buckets.operations.readings import record_reading
from tests.buckets.rows import DAY, found, in_use, pail
from tests.factories import VesselFactory

pytestmark = pytest.mark.django_db
MOST_QUERIES = 12


def text(answer) -> str:
    bare = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(bare).replace("\xa0", " "))


def codes(answer) -> list[str]:
    return [row.vessel.code for row in answer.context["rows"]]


@pytest.fixture
def four(technician, member):
    """B02 to dip, B03 to measure, B04 in testing, B05 empty; cones 6, 10 and none."""
    dip = in_use("B02")
    record_reading(fill=dip, by=technician, sg=Decimal("1.452"), u_sg=Decimal("0.002"))
    care.stir(fill=dip, by=member)
    in_use("B03", glaze="Peat Pool", cone="10", look="near-black breaking rust", litres="7.4")
    found("B04", glaze="Blue, label gone")
    pail("B05")


def test_every_vessel_stands_there_with_its_answer_and_the_counts_in_words(client, member, four):
    client.force_login(member)
    answer = client.get("/shelf/")
    assert codes(answer) == ["B02", "B03", "B04", "B05"]
    page = text(answer)
    assert "4 buckets · 1 fit after a stir · 1 to measure · 1 not to be used · 1 empty" in page
    row = page[page.index("Gannet White") : page.index("Peat Pool")]
    for said in ("B02", "opaque gloss", "cone 6", "Dip", "1.452", "just now", "8.0 L"):
        assert said in row


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("?q=b03", ["B03"]),
        ("?q=peat", ["B03"]),
        ("?q=rust", ["B03"]),
        ("?q=wollastonite", ["B02"]),
        ("?q=WHITE+gloss", ["B02"]),
        ("?cone=10", ["B03"]),
        ("?answer=fit", ["B02"]),
        ("?answer=measure", ["B03"]),
        ("?answer=not", ["B04"]),
        ("?answer=empty", ["B05"]),
        ("?cone=6&answer=measure", []),
        ("?q=%3Cb%3E", []),
        ("?answer=nonsense", ["B02", "B03", "B04", "B05"]),
    ],
)
def test_search_and_filters_stand_in_the_address(client, member, four, query, expected):
    client.force_login(member)
    answer = client.get(f"/shelf/{query}")
    assert (answer.status_code, codes(answer)) == (200, expected)
    if not expected:
        assert "Show all 4 buckets" in text(answer)
        assert b"<b>\xe2\x80\x9d" not in answer.content


def test_filters_keep_each_other_and_one_pressed_again_is_taken_off(client, member, four):
    client.force_login(member)
    page = client.get("/shelf/?q=white&cone=6").content.decode()
    assert 'href="?q=white&amp;cone=6&amp;answer=fit"' in page
    assert 'href="?q=white" aria-current="true"' in page
    assert 'type="hidden" name="cone" value="6"' in page


def test_a_vessel_put_away_is_not_on_the_shelf(client, member, four):
    vessel = pail("B05")
    type(vessel).objects.filter(pk=vessel.pk).update(state="away")
    client.force_login(member)
    assert codes(client.get("/shelf/")) == ["B02", "B03", "B04"]


def test_an_empty_shelf_says_what_to_do(client, technician, member):
    client.force_login(technician)
    assert "Enter the buckets of the room first" in text(client.get("/shelf/"))
    client.force_login(member)
    assert "A technician enters the buckets" in text(client.get("/shelf/"))


def test_labels_and_taking_over_are_offered_to_technicians(client, technician, member, four):
    for who, there in ((technician, True), (member, False)):
        client.force_login(who)
        page = text(client.get("/shelf/"))
        assert ("Print labels" in page, "Take over a bucket" in page) == (there, there)


def queries(client, address: str) -> int:
    with CaptureQueriesContext(
        connection,
    ) as seen:
        assert client.get(address).status_code == 200
    return len(seen)


def test_queries_are_as_many_for_3_buckets_as_for_60_and_for_a_long_history(client, technician, helper):
    fills = [in_use(f"B0{n}") for n in range(2, 5)]
    client.force_login(helper)
    few = queries(client, "/shelf/")
    for n in range(57):
        if n % 3:
            in_use(f"C{n:02}", glaze=f"Glaze {n}", litres="5")
        else:
            VesselFactory(code=f"C{n:02}")
    now = timezone.now()
    for n in range(120):
        at = now - 20 * DAY + timedelta(hours=2 * n)
        care.stir(fill=fills[0], by=technician, at=at)
        record_reading(fill=fills[0], by=helper if n % 2 else technician, sg=Decimal("1.45"), at=at)
        care.log_use(fill=fills[0], volume_l=Decimal("0.001"), by=helper, at=at)
        if n % 10 == 0:
            care.water_in(fill=fills[0], volume_l=Decimal("0.001"), by=helper, at=at)
    assert queries(client, "/shelf/") == few <= MOST_QUERIES
    assert queries(client, "/shelf/B02/") <= MOST_QUERIES
    assert queries(client, "/shelf/B03/") <= MOST_QUERIES
