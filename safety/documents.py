"""Documents people file: PDFs judged by what is in them, kept by their hash, handed out as downloads only.

A PDF is never opened by us, shown in a page or run: it goes out as an attachment that no browser may sniff,
frame or script. Files are written when the act that speaks of them is certain.
"""

import hashlib
import re
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.http import FileResponse, Http404, HttpResponseBase

from studio.files import write_whole

FOLDER = "documents"
MOST_BYTES = 10_000_000
_ACTIVE = {
    b"/JavaScript": "a script", b"/JS": "a script", b"/Launch": "a command that starts a program",
    b"/EmbeddedFile": "another file", b"/RichMedia": "a film or a program", b"/XFA": "a form that runs",
    b"/SubmitForm": "a form that sends", b"/Encrypt": "a password",
}  # fmt: skip
_HEAD = re.compile(rb"%PDF-(?:1\.[0-7]|2\.0)\s")
_ONLY = "This is no PDF, so it was not kept. Send the data sheet as the PDF the supplier made."
_BROKEN = "This PDF is cut off or damaged, so it was not kept. Fetch it from the supplier once more."


class NoDocument(Exception):
    """What was sent is no document that is kept; the sentence says why."""


class Document(str):
    """A PDF that was judged: its text is its SHA-256, which is all the journal keeps of it."""

    content: bytes

    @property
    def size(self) -> int:
        """Bytes."""
        return len(self.content)


def too_large(size: int) -> str:
    """What is said of a file of ``size`` bytes."""
    return (
        f"A document may have at most {MOST_BYTES // 1_000_000} MB; this one has {size / 1_000_000:.1f} MB."
    )


def document(sent: bytes) -> Document:
    """The PDF in ``sent``; NoDocument with a sentence when it is empty, too large, damaged, active or none.

    Judged: the head at the very beginning, the end, the table of contents where the end says it is, and that
    nothing in plain sight of it runs, sends, holds other files or wants a password.
    """
    if not sent:
        raise NoDocument("This file is empty. Choose the PDF once more.")
    if len(sent) > MOST_BYTES:
        raise NoDocument(too_large(len(sent)))
    if not _HEAD.match(sent):
        raise NoDocument(_ONLY)
    _refuse_damaged(sent)
    for mark, what in _ACTIVE.items():
        if re.search(re.escape(mark) + rb"(?![A-Za-z])", sent) or (mark == b"/EmbeddedFile" and mark in sent):
            raise NoDocument(f"This PDF has {what} in it, so it was not kept. Print it as a plain PDF first.")
    found = Document(hashlib.sha256(sent).hexdigest())
    found.content = sent
    return found


def _refuse_damaged(sent: bytes) -> None:
    tail = sent[-1024:]
    ends = tail.rfind(b"%%EOF")
    if ends < 0 or tail[ends + 5 :].strip(b"\r\n \t\0"):
        raise NoDocument(_BROKEN)
    starts = re.findall(rb"startxref\s+(\d{1,10})\s+%%EOF", tail)
    if not starts:
        raise NoDocument(_BROKEN)
    at = int(starts[-1])
    if at >= len(sent) or not re.match(rb"\s*(?:xref\s|\d+ \d+ obj)", sent[at : at + 40]):
        raise NoDocument(_BROKEN)
    if b"/Root" not in sent or b"endobj" not in sent:
        raise NoDocument(_BROKEN)


def path_of(digest: str) -> Path:
    """Where the file with this SHA-256 lies."""
    return Path(settings.MEDIA_ROOT) / FOLDER / f"{digest}.pdf"


def keep(one: Document) -> None:
    """Write it as soon as the running transaction is certain; not at all when it is taken back."""
    transaction.on_commit(lambda: write(one))


def write(one: Document) -> None:
    """Write it now; what is there already is left as it is."""
    write_whole(path_of(one), one.content)


def handed_out(digest: str, name: str) -> HttpResponseBase:
    """The file as a download called ``name``.pdf. 404 when it is not there."""
    path = path_of(digest)
    if not re.fullmatch(r"[0-9a-f]{64}", digest) or not path.is_file():
        raise Http404("There is no such document.")
    response = FileResponse(path.open("rb"), as_attachment=True, filename=f"{name}.pdf")
    response["Content-Type"] = "application/pdf"
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response["Cache-Control"] = "private, max-age=3600"
    return response
