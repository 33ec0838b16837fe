"""PDFs are made by a process of their own: in time or not at all, from our own files alone."""

import io
import time

import pypdf
import pytest
from django.contrib.auth.models import AnonymousUser
from django.urls import reverse

from studio import paper_process, printing
from studio.printing import NoPaper

LOOPS = "import sys, time\nsys.stdin.buffer.read()\ntime.sleep(60)\n"


@pytest.fixture
def never_ends(monkeypatch):
    """A process that takes its document and never answers."""
    printing._waiting.end()
    monkeypatch.setattr(printing, "PROCESS", (printing.sys.executable, "-c", LOOPS))
    monkeypatch.setattr(printing, "WITHIN_S", 0.5)
    yield
    printing._waiting.end()


def test_a_page_becomes_a_pdf_in_another_process():
    made = printing.pdf("<p>Rockpool</p>")
    (page,) = pypdf.PdfReader(io.BytesIO(made)).pages
    assert "Rockpool" in page.extract_text()


def test_what_takes_too_long_is_stopped_and_says_so(never_ends):
    start = time.monotonic()
    with pytest.raises(NoPaper, match=r"longer than 0.5 s.*Nothing is lost"):
        printing.pdf("<p>x</p>")
    assert time.monotonic() - start < 10


def test_the_person_who_waits_reads_why(never_ends, rf, db):
    request = rf.get(reverse("shelf"))
    request.user = AnonymousUser()
    answer = printing.paper(request, "print/labels.html", {}, "labels")
    assert answer.status_code == 503
    assert "so it was stopped. Nothing is lost" in answer.content.decode()


def test_a_page_that_cannot_be_made_is_no_pdf(monkeypatch):
    printing._waiting.end()
    monkeypatch.setattr(printing, "PROCESS", (printing.sys.executable, "-c", "raise SystemExit(3)"))
    with pytest.raises(NoPaper, match="could not be made"):
        printing.pdf("<p>x</p>")
    printing._waiting.end()


@pytest.mark.parametrize(
    "inside", ["file:///etc/hostname", "http://127.0.0.1:9/x.png", "/static/../manage.py"]
)
def test_foreign_addresses_in_a_page_leave_nothing_in_the_pdf(inside):
    made = printing.pdf(f'<p>kept</p><img alt="" src="{inside}"><link rel="attachment" href="{inside}">')
    reader = pypdf.PdfReader(io.BytesIO(made))
    assert "kept" in reader.pages[0].extract_text()
    assert not reader.attachments
    assert not reader.pages[0].images


def test_an_address_is_drawn_once():
    printing.qr_svg.cache_clear()
    first, again = (printing.qr_svg("https://stirbook.invalid/l/Q0001/") for _ in range(2))
    assert first is again
    assert printing.qr_svg.cache_info().misses == 1


def test_a_file_outside_our_own_folders_is_not_one_of_ours(tmp_path):
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "a.css").write_text("a")
    (tmp_path / "b.css").write_text("b")
    address = f"{paper_process.BASE}/static/"
    roots = [str(tmp_path / "in")]
    assert paper_process.own_file(f"{address}a.css", "/static/", roots).name == "a.css"
    for name in ("../b.css", "b.css", "%2e%2e/b.css", ""):
        with pytest.raises(ValueError, match="not one of our own"):
            paper_process.own_file(address + name, "/static/", roots)
