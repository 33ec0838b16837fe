"""Injuries: anybody reports one, managers alone read it, and nobody else finds a trace of it anywhere.

Words are invented, and such as stand nowhere else in the house.
"""

import html
import io
from itertools import pairwise
from uuid import uuid4

import pypdf
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from safety.models import Aftermath, Incident
from safety.operations.incidents import add_to_injury, add_to_spill, report_injury, report_spill
from studio.errors import NotAllowed
from studio.front.due import due
from studio.people.models import Counter, Entry, Notice
from studio.room.steps import progress
from tests import factories
from tests.api.asking import BASE, program
from tests.people.expectations import EXPECTED, NONE
from tests.people.sample_rows import Studio, studio

pytestmark = pytest.mark.django_db
WORDS = {"what": "A quillwort splinter under the nail.", "done": "Drawn with tweezers.", "place": "kiln nook"}
AFTER = "Seen by Doctor Umbel, healed."
TRACES = ("quillwort", "tweezers", "kiln nook", "umbel")


def text(answer) -> str:
    return " ".join(html.unescape(answer.content.decode()).replace("\xa0", " ").split())


@pytest.fixture
def hurt(member, manager):
    """An injury that Ilse reported, with what became of it."""
    row = report_injury(**WORDS, by=member, raw="words=quillwort")
    add_to_injury(injury=row, what=AFTER, by=manager, raw="what=umbel")
    return row


# --- reporting ------------------------------------------------------------------------------------------


def test_anybody_reports_one_with_a_tap_and_does_not_read_it_afterwards(client, member):
    client.force_login(member)
    assert f'href="{reverse("report-injury")}"' in client.get(reverse("shelf")).content.decode()
    sent = {"kind": "in the eye", "words": WORDS["what"], "key": uuid4()}
    answer = client.post(reverse("report-injury"), sent, follow=True)
    row = Incident.objects.get()
    assert (row.kind, row.what) == ("injury", f"In the eye. {WORDS['what']}")
    page = text(answer)
    assert "Reported. Only managers read it, and they are told." in page
    assert "quillwort" not in page
    assert str(row) not in page
    assert client.get(reverse("injury", args=[row.number])).status_code == 403


def test_whom_to_call_and_what_to_do_stand_before_the_report(client, member):
    client.force_login(member)
    page = text(client.get(reverse("report-injury"))).lower()
    order = [
        "call your country's emergency number", "do this first", "rinse cautiously with water",
        'name="kind"', "consult the safety data sheet, local rules and a qualified person",
    ]  # fmt: skip
    places = [page.find(words) for words in order]
    assert -1 not in places
    assert all(one < other for one, other in pairwise(places))


def test_the_rooms_tablet_reports_one_without_a_name(client):
    client.force_login(factories.the_room())
    sent = {"kind": "burn or cut", "words": "Ilse, on the kiln lid", "key": uuid4()}
    assert client.post(reverse("report-injury"), sent).status_code == 303
    assert Incident.objects.get().by.is_room


def test_the_same_key_is_one_injury(member):
    key = uuid4()
    rows = {report_injury(**WORDS, by=member, key=key).pk for _ in range(2)}
    assert len(rows) == Incident.objects.count() == 1


def test_managers_alone_are_told_and_the_notice_says_nothing_of_it(hurt, manager, technician, member):
    assert [(row.to, row.words) for row in Notice.objects.all()] == [
        (manager, "Something that only managers read was reported.")
    ]


# --- reading --------------------------------------------------------------------------------------------


def test_the_manager_reads_it_adds_to_it_and_closes_it(client, hurt, manager):
    client.force_login(manager)
    assert str(hurt) in text(client.get(reverse("injuries")))
    answer = client.post(
        reverse("add-to-injury", args=[hurt.number]),
        {"what": "Back at the wheel.", "closes": "on", "key": uuid4()},
        follow=True,
    )
    for words in (*WORDS.values(), AFTER, "Back at the wheel.", "closed it", "Ilse"):
        assert words in text(answer)
    assert str(hurt) not in text(client.get(reverse("injuries")))
    assert str(hurt) in text(client.get(reverse("injuries"), {"shown": "all"}))
    row = program(manager).told("injuries/1/")
    assert (row["closed"], len(row["aftermath"])) == (True, 2)


@pytest.mark.parametrize("name", ["injuries", "injury", "add-to-injury"])
def test_nobody_else_opens_it(hurt, member, helper, technician, name):
    address = reverse(name, args=[] if name == "injuries" else [hurt.number])
    for person in (member, helper, technician, factories.the_room()):
        client = Client()
        client.force_login(person)
        for answer in (client.get(address), client.post(address, {"what": "x", "key": uuid4()})):
            assert answer.status_code == 403
            assert not [trace for trace in TRACES if trace in text(answer).lower()]
    assert Aftermath.objects.count() == 1


def test_nobody_learns_whether_one_is_there(hurt, technician):
    client = Client()
    client.force_login(technician)
    there, none = (client.get(reverse("injury", args=[number])) for number in (hurt.number, 77))
    assert there.status_code == none.status_code == 403
    for address in ("injuries/", "injuries/1/", "injuries/77/"):
        assert program(technician).get(address).status_code == 403
    assert program(technician).get("spills/1/").status_code == 404
    assert client.get(reverse("spill", args=[hurt.number])).status_code == 404


def test_a_pin_at_the_tablet_does_not_open_it(client, hurt, manager):
    factories.with_pin(manager)
    client.force_login(factories.the_room())
    client.post(reverse("who"), {"tablet-looks": "1", "tablet-person": manager.pk, "tablet-pin": "7308"})
    answer = client.get(reverse("injury", args=[hurt.number]))
    assert answer.status_code == 403
    assert "quillwort" not in text(answer)


def test_nobody_but_a_manager_adds_to_it(hurt, member, helper, technician):
    for person in (member, helper, technician, None):
        with pytest.raises(NotAllowed):
            add_to_injury(injury=hurt, what="x", by=person)
    assert Aftermath.objects.count() == 1


# --- no trace -------------------------------------------------------------------------------------------


def test_the_journal_does_not_tell_an_injury_from_a_spill(hurt, member, technician, manager):
    spill = report_spill(what="Dry powder.", by=member)
    add_to_spill(spill=spill, what="bagged", by=technician)
    of_injury, of_spill = (
        list(Entry.objects.filter(about_kind="safety.incident", about_id=row.pk).order_by("id"))
        for row in (hurt, spill)
    )
    assert [row.act for row in of_injury] == [row.act for row in of_spill]
    assert [set(row.content) for row in of_injury] == [set(row.content) for row in of_spill]
    everything = str(list(Entry.objects.values("act", "content", "about_kind", "result_kind"))).lower()
    assert not [trace for trace in (*TRACES, "injury", "hurt") if trace in everything]


def test_no_gap_in_the_numbers_of_spills_tells_of_one(member, technician):
    report_spill(what="Dry powder.", by=member)
    report_injury(**WORDS, by=member)
    report_spill(what="Wet glaze.", by=member)
    assert list(Incident.objects.filter(kind="spill").values_list("number", flat=True)) == [2, 1]
    bram = program(technician)
    rows = bram.told("spills/")["results"]
    assert [row["number"] for row in rows] == [2, 1]
    assert not [row for row in rows if "id" in row]
    first = bram.told("spills/", page_size=1)
    assert (
        bram.client.get(first["next"], headers={"Authorization": f"Bearer {bram.secret}"}).json()["results"]
        == rows[1:]
    )
    assert dict(Counter.objects.filter(name__in=("spill", "injury")).values_list("name", "last")) == {
        "spill": 2, "injury": 1,
    }  # fmt: skip


def test_today_of_a_technician_does_not_know_of_it(hurt, technician):
    said = str(due(timezone.now(), progress())).lower()
    assert not [trace for trace in (*TRACES, str(hurt).lower(), "injur") if trace in said]


@pytest.fixture
def house(db) -> Studio:
    """The sample studio, a row for every address, with our injury beside its own."""
    rows = studio()
    row = report_injury(**WORDS, by=rows.people["member"])
    add_to_injury(injury=row, what=AFTER, by=rows.people["manager"])
    rows.samples["injury"] = {"number": row.number}
    return rows


def said_at(house: Studio, who: str, name: str) -> str:
    """What an address answers this person, PDFs read as well; searches are for a word of the injury."""
    client = Client(raise_request_exception=False)
    client.force_login(house.people[who])
    address = reverse(name, kwargs=house.kwargs(EXPECTED[name][2], who))
    asked = {} if address.startswith(BASE) else {"q": "splinter"}
    answer = client.get(address, asked)
    body = b"".join(answer) if answer.streaming else answer.content
    if answer.headers.get("Content-Type", "") == "application/pdf":
        body = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(body)).pages).encode()
    return html.unescape(body.decode(errors="replace")).lower()


def traces(house: Studio, who: str) -> dict[str, list[str]]:
    """By address: the words of the injury that this person finds there."""
    found = {}
    for name, (get, _, _) in EXPECTED.items():
        said = said_at(house, who, name) if get != NONE else ""
        if seen := [trace for trace in TRACES if trace in said]:
            found[name] = seen
    return found


@pytest.mark.parametrize("who", ["member", "helper", "technician"])
def test_no_page_and_no_program_of_anybody_else_finds_a_trace(house, who):
    assert traces(house, who) == {}


def test_the_manager_finds_it_where_it_is_kept_and_nowhere_else(house):
    found = traces(house, "manager")
    assert set(found) == {"injuries", "injury", "api-injuries", "api-injury"}
    assert found["injury"] == found["api-injury"] == list(TRACES)
