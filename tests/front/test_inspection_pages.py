"""The inspection pack as it is met: gaps, then all that is on file; who sees what; the same on paper."""

import io
import re
from decimal import Decimal

import pypdf
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from buckets.models import Fill
from buckets.operations.additives import additive_in
from safety.operations.containers import add_container
from safety.operations.incidents import add_to_spill
from safety.operations.sheets import acknowledge
from studio import printing
from tests.batches.words import words_of
from tests.factories import BatchFactory, LeachTestFactory, MaterialFactory, bram, person, the_room, with_pin
from tests.front.inspection_rows import DAY, checked, happened
from tests.people.test_tablet import choose
from tests.safety.sheet_rows import classed, constituent, filed, linseed_filed, quartz

pytestmark = pytest.mark.django_db
PAGE, PAPER = reverse("inspection"), reverse("inspection-pdf")
SECTIONS = (
    *("Gaps", "Not kept here", "Materials and their sheets", "Weighed without a current sheet"),
    *(
        "Cancer, genes, reproduction",
        "How a changed sheet is learned of",
        "Glazes",
        "Labels in force",
        "Leach tests",
    ),
    *("Sign-offs", "Checks", "Spills and injuries", "Plan against silica dust", "Waste", "Emergency"),
)


@pytest.fixture
def linseed(db) -> Fill:
    """Linseed in use, all its materials with sheets."""
    linseed_filed(fine="2")
    batch = BatchFactory(state="released")
    return Fill.objects.get(vessel=batch.vessel, emptied_at=None)


# --- who sees what


def test_injuries_are_counted_for_the_manager_alone(client_factory, technician, manager):
    spill = happened("spill")
    add_to_spill(spill=spill, what="wiped wet", closes=True, by=technician)
    happened("spill")
    for _ in range(2):
        happened("injury")
    seen = {}
    for who in (technician, manager):
        client = client_factory()
        client.force_login(who)
        seen[who] = words_of(client.get(PAGE))
    year = timezone.localtime(timezone.now() - DAY).year
    assert f"Spill {year} 2 1" in seen[technician]
    assert "1 open spill" in seen[technician]
    assert "Injury" not in seen[technician]
    assert "Injuries are not counted in this copy" in seen[technician]
    assert f"Injury {year} 2 2" in seen[manager]
    assert "2 open injuries" in seen[manager]
    assert "bag tore" not in seen[manager], "counts are no stories"


def test_a_pin_at_the_rooms_tablet_does_not_open_injuries(manager):
    happened("injury")
    tablet = Client()
    tablet.force_login(the_room())
    choose(tablet, with_pin(manager), to=PAGE)
    page = words_of(tablet.get(PAGE))
    assert "Injuries are not counted in this copy" in page
    assert "open injur" not in page


@pytest.mark.parametrize("address", [PAGE, PAPER])
def test_a_member_is_told_that_the_pack_is_the_technicians(client, member, address):
    client.force_login(member)
    answer = client.get(address)
    assert answer.status_code == 403
    assert "to file what is in the binder (technician)" in words_of(answer)


def test_members_see_the_front_of_the_binder_without_people_and_spills(client, member, technician):
    happened("spill")
    MaterialFactory(name="Talc")
    client.force_login(member)
    page = words_of(client.get(reverse("binder")))
    assert "Talc: missing" in page
    assert "open spill" not in page
    assert "no training" not in page
    client.force_login(technician)
    page = words_of(client.get(reverse("binder")))
    assert "1 open spill" in page
    assert "Inspection pack" in page
    shown = client.get(reverse("binder")).content.decode()
    assert f'<a href="{reverse("spills")}">1 open spill</a>' in shown
    assert f'<a href="{reverse("checks")}">Wet cleaning</a>' in shown


# --- all that is on file


def test_silica_cancer_and_waste_have_their_places(client, technician):
    filed("Silica", quartz("98", fine="20"))
    cobalt = classed("Carc. 1B", "Repr. 1B", carc_inhalation_only=True)
    filed("Cobalt carbonate", constituent("cobalt carbonate", "100", cobalt, cas="513-79-1"))
    add_container(kind="waste", what="sink sludge", capacity_l=Decimal(10), by=technician)
    client.force_login(technician)
    page = words_of(client.get(PAGE))
    assert "quartz, fine fraction 20 %" in page
    assert "In 1 material, listed below." in page
    assert "Exposure assessment or objective data Not kept here." in page
    assert "Carc. 1B; Repr. 1B" in page[page.index("Cancer, genes") : page.index("How a changed sheet")]
    assert "sink sludge" in page[page.index("Waste ") :]


def read_aloud(paper: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(paper)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_the_paper_says_the_same_and_gaps_come_first(client, technician):
    MaterialFactory(name="Wood ash, washed")
    filed("Silica", quartz("98", fine="20"))
    client.force_login(technician)
    said = read_aloud(client.get(PAPER).content)
    assert said.index("Gaps:") < said.index("Wood ash, washed: missing") < said.index("Materials and their")
    assert "STOT RE 1" in said
    assert "Consult the safety data sheet, local rules and a qualified person" in said
    assert "page 1 of" in said


def test_page_and_paper_have_every_section_in_the_same_order(client, manager, linseed):
    checked("trap", 2, place="big sink")
    happened("injury")
    leach = LeachTestFactory()
    person("Petra", "helper", signed_off=("SG",))
    add_container(kind="waste", what="sink sludge", capacity_l=Decimal(10), by=manager)
    client.force_login(manager)
    page = client.get(PAGE).content.decode()
    assert tuple(re.findall(r"<h2>([^<]*)</h2>", page)) == SECTIONS
    said = read_aloud(client.get(PAPER).content)
    after = 0
    for head in SECTIONS:
        place = said.find(head, after)
        assert place >= after, f"{head} is not where the page has it"
        after = place
    glaze = f"{linseed.version.recipe.name}, version 1"
    assert f"{leach} {leach.version.recipe.name}" in said
    for words in (glaze, "Sink trap, big sink", "Injury", "sink sludge", "Petra helper"):
        assert words in said, words


def test_who_weighed_without_a_sheet_for_what_and_why_is_listed(client, technician):
    talc = MaterialFactory(name="Talc")
    for days, what in ((10, "batch 26-014"), (400, "batch 25-003"), (500, "batch 25-001")):
        at = timezone.now() - days * DAY
        acknowledge(material=talc, what=what, reason="its sheet is on the way", by=bram(), at=at)
    client.force_login(technician)
    page = words_of(client.get(PAGE))
    listed = page[page.index("Weighed without a current sheet A technician") : page.index("Cancer, genes")]
    assert "batch 26-014, by Bram its sheet is on the way" in listed
    assert "25-003" not in listed
    assert "2 more before that" in listed


@pytest.mark.parametrize("address", [PAGE, reverse("binder")])
def test_it_asks_the_same_number_of_times_however_much_there_is(client, technician, linseed, address):
    client.force_login(technician)
    additive_in(fill=linseed, additive="gum", product="cellulose", mass_g=Decimal(4), by=bram())
    counts = []
    for round_ in range(2):
        with CaptureQueriesContext(connection) as asked:
            assert client.get(address).status_code == 200
        counts.append(len(asked))
        for n in range(6 if not round_ else 0):
            filed(f"Stain {n}", quartz("3"))
            checked("filter", n, place=f"place {n}")
            happened("spill", days_ago=60 * n)
            person(f"Helper {n}", "helper", signed_off=("SG",))
    assert counts[0] == counts[1] <= 12


@pytest.mark.django_db(transaction=True)
def test_no_transaction_is_open_while_it_is_drawn(client, technician, monkeypatch):
    within = []

    def drawn(html):
        within.append((connection.in_atomic_block, "Gaps" in html))
        return b"%PDF-"

    monkeypatch.setattr(printing, "pdf", drawn)
    monkeypatch.setattr(printing, "pdf_ready", lambda: True)
    client.force_login(technician)
    assert client.get(PAPER).content == b"%PDF-"
    assert within == [(False, True)]
