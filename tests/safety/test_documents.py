"""What people send as a PDF: whole, quiet ones are kept by their hash, and nothing of the others stays."""

import gzip
import io
import zipfile
from pathlib import Path
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from safety.documents import MOST_BYTES, Document, NoDocument, document, handed_out, path_of, write
from safety.models import Sheet
from studio.front.proof.files import problems
from tests.factories import MaterialFactory
from tests.safety.pdfs import on_disk, pdf

GOOD = pdf()


def zipped(name: str = "a.txt", size: int = 10) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr(name, b"\0" * size)
    return out.getvalue()


def picture(kind: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (8, 8), "white").save(out, kind)
    return out.getvalue()


HOSTILE = {
    "nothing": b"",
    "a word": b"safety data sheet",
    "a page": b"<!doctype html><script>alert(1)</script>",
    "a drawing with a script": b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
    "an archive": zipped(),
    "an archive that swells": zipped(size=50_000_000),
    "a path in an archive": zipped("../../etc/passwd"),
    "a packed PDF": gzip.compress(GOOD),
    "a PNG": picture("PNG"),
    "a JPEG": picture("JPEG"),
    "a JPEG with a PDF behind it": picture("JPEG") + GOOD,
    "a program": b"MZ\x90\0" + b"\0" * 200,
    "a program of another kind": b"\x7fELF" + b"\0" * 200,
    "a script": b"#!/bin/sh\nrm -rf /\n",
    "only the head": b"%PDF-1.4\n",
    "a strange version": GOOD.replace(b"%PDF-1.4", b"%PDF-9.9"),
    "words before the head": b"hello\n" + GOOD,
    "cut off in the middle": GOOD[: len(GOOD) // 2],
    "cut off at the end": GOOD[:-30],
    "a page behind the end": GOOD + b"<script>alert(1)</script>",
    "an archive behind the end": GOOD + zipped(),
    "a table that is nowhere": GOOD.replace(b"startxref\n", b"startxref\n9"),
    "a table that is elsewhere": GOOD.replace(b"xref\n0 6", b"XREF\n0 6"),
    "no beginning": GOOD.replace(b"/Root", b"/Boot"),
    "a script inside": pdf(extra=b"/OpenAction << /S /JavaScript /JS (app.alert(1)) >>"),
    "a program started": pdf(extra=b"/OpenAction << /S /Launch /F (cmd.exe) >>"),
    "a file inside": pdf(extra=b"/Names << /EmbeddedFiles 9 0 R >>"),
    "a film inside": pdf(extra=b"/RichMedia 9 0 R"),
    "a form that runs": pdf(extra=b"/AcroForm << /XFA 9 0 R >>"),
    "a form that sends": pdf(extra=b"/AA << /S /SubmitForm /F (http://example.org) >>"),
    "a password": GOOD.replace(b"/Size 6", b"/Encrypt 9 0 R /Size 6"),
    "too large": GOOD[:-6] + b" " * (MOST_BYTES + 1),
}


def on_the_disk() -> set[Path]:
    folder = Path(settings.MEDIA_ROOT)
    return {path for path in folder.rglob("*") if path.is_file()} if folder.exists() else set()


def test_there_are_at_least_25_of_them():
    assert len(HOSTILE) >= 25


@pytest.mark.parametrize("sent", HOSTILE.values(), ids=HOSTILE)
def test_what_is_no_quiet_pdf_is_refused_with_a_sentence(sent):
    with pytest.raises(NoDocument) as refused:
        document(sent)
    assert str(refused.value).endswith(".")
    assert "kept" in str(refused.value) or "empty" in str(refused.value) or "at most" in str(refused.value)


@pytest.mark.parametrize("what", HOSTILE)
@pytest.mark.django_db
def test_on_the_page_it_stands_beside_the_field_and_nothing_is_left(what, client, technician):
    material = MaterialFactory(name="Barium carbonate")
    before = on_the_disk()
    client.force_login(technician)
    sent = SimpleUploadedFile("../../sheet.pdf", HOSTILE[what], content_type="application/pdf")
    typed = {**GOOD_FORM, "key": str(uuid4()), "document": sent}
    answer = client.post(reverse("file-sheet", args=[material.pk]), typed)
    assert answer.status_code == 422
    assert answer.context["form"].errors["document"]
    assert "Tollgate Minerals" in answer.content.decode()
    assert Sheet.objects.count() == 0
    assert on_the_disk() == before


GOOD_FORM = {
    "kind": "sheet", "product": "Barium carbonate", "supplier": "Tollgate Minerals", "law": "EU",
    "stated": "classes", "classes": "Acute Tox. 4 (oral)", "issued_on": "2025-03-01",
}  # fmt: skip


@pytest.mark.django_db(transaction=True)
def test_a_pdf_is_kept_by_its_hash_and_handed_out_as_a_download_only(client, technician):
    material = MaterialFactory(name="Barium carbonate")
    client.force_login(technician)
    sent = SimpleUploadedFile("<svg onload=alert(1)>.pdf", pdf("of barium"), content_type="text/html")
    answer = client.post(
        reverse("file-sheet", args=[material.pk]), {**GOOD_FORM, "key": str(uuid4()), "document": sent}
    )
    assert answer.status_code == 303
    sheet = Sheet.objects.get()
    assert path_of(sheet.file_digest).read_bytes() == pdf("of barium")
    given = client.get(reverse("sheet-file", args=[sheet.number]))
    assert b"".join(given.streaming_content) == pdf("of barium")
    assert given["Content-Type"] == "application/pdf"
    assert given["Content-Disposition"] == f'attachment; filename="{sheet}.pdf"'
    assert given["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in given["Content-Security-Policy"]


@pytest.mark.django_db(transaction=True)
def test_the_books_say_when_a_filed_document_is_gone_or_another(client, technician):
    material = MaterialFactory(name="Barium carbonate")
    client.force_login(technician)
    sent = SimpleUploadedFile("sheet.pdf", pdf("of barium"), content_type="application/pdf")
    client.post(
        reverse("file-sheet", args=[material.pk]), {**GOOD_FORM, "key": str(uuid4()), "document": sent}
    )
    sheet = Sheet.objects.get()
    file = path_of(sheet.file_digest)
    assert list(problems()) == []
    file.write_bytes(b"%PDF another")
    assert [str(one) for one in problems()] == [f"sheet {sheet}: has a file {file.name} that was changed."]
    file.unlink()
    assert [str(one) for one in problems()] == [f"sheet {sheet}: has no file {file.name}."]
    file.write_bytes(pdf("of barium"))


@pytest.mark.django_db
def test_nothing_is_written_when_the_act_is_taken_back(technician):
    from safety.operations.sheets import file_sheet
    from studio.errors import Refused

    sent = document(pdf("never kept"))
    with pytest.raises(Refused):
        file_sheet(
            material=MaterialFactory(),
            product="x",
            supplier="",
            hazards=hazards(),
            document=sent,
            by=technician,
        )
    assert not path_of(sent).exists()


def hazards():
    from safety.calc.hazards import Hazards

    return Hazards(stated="not hazardous")


def test_the_same_file_twice_is_one_file():
    first, second = on_disk("twice"), on_disk("twice")
    assert first == second
    assert len(list(path_of(first).parent.glob(f"{first}*"))) == 1


def test_a_name_that_is_no_hash_opens_nothing():
    from django.http import Http404

    for digest in ("../../secret_key", "a" * 63, "", "A" * 64):
        with pytest.raises(Http404):
            handed_out(digest, "x")


def test_a_damaged_disk_leaves_no_half_file(monkeypatch):
    import os

    sent = document(pdf("half"))
    monkeypatch.setattr(os, "replace", lambda *args: (_ for _ in ()).throw(OSError("full")))
    with pytest.raises(OSError, match="full"):
        write(sent)
    assert not list(path_of(sent).parent.glob(".*part"))
    assert isinstance(sent, Document)
