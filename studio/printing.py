"""Templates onto paper: PDF where the machine can, a page to print where it can't.

PDFs are made by a process of their own (``paper_process``) with a time limit, so that two hundred labels
neither hold up the pages of others nor stay in the memory of the server.
"""

import atexit
import ctypes.util
import importlib.util
import json
import logging
import subprocess
import sys
import threading
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import segno
from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from studio.paper_process import own_file

INSTALL_LINE = "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
WITHIN_S = 90  # 200 hazard labels take about ten; what takes longer than this never ends
PROCESS = (sys.executable, "-m", "studio.paper_process")
SLOW = (
    "Making this PDF took longer than {seconds} s, so it was stopped. Nothing is lost: print fewer at a time."
)
log = logging.getLogger(__name__)


class NoPaper(Exception):
    """A PDF could not be made; ``sentence`` is for the person who waits for it."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@cache
def pdf_ready() -> bool:
    """Whether this machine can make PDFs: WeasyPrint is installed, and the libraries it draws text with.

    It is not imported here: only the processes that print pay for it.
    """
    libraries = all(map(ctypes.util.find_library, ("pangoft2-1.0", "harfbuzz-subset")))
    return libraries and importlib.util.find_spec("weasyprint") is not None


def paper(request: HttpRequest, template: str, context: dict[str, Any], name: str) -> HttpResponse:
    """``template`` as a PDF called ``name``.pdf, or as a page that prints, with the line that helps.

    Call it after the transaction: it takes tens of milliseconds and more.
    """
    if not pdf_ready():
        return render(request, template, {**context, "install_line": INSTALL_LINE})
    try:
        made = pdf(render_to_string(template, {**context, "on_paper": True}))
    except NoPaper as problem:
        return render(request, "no_paper.html", {"sentence": problem.sentence}, status=503)
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def pdf(html: str) -> bytes:
    """HTML as PDF, by a process of its own. Only data: and our own static files are read.

    Raises NoPaper when it takes longer than ``WITHIN_S`` seconds (it is stopped then) or fails.
    """
    process = _waiting.take()
    told = json.dumps({"static_url": settings.STATIC_URL, "roots": roots()}) + "\n"
    try:
        made, said = process.communicate(told.encode() + html.encode(), timeout=WITHIN_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.communicate()
        raise NoPaper(SLOW.format(seconds=f"{WITHIN_S:g}")) from None
    finally:
        _waiting.warm()
    if process.returncode:
        log.error("No PDF was made: %s", said.decode(errors="replace")[-2000:])
        raise NoPaper("This PDF could not be made. Nothing is lost; the studio's log says why.")
    return made


def warm() -> None:
    """Have a process ready: call it where somebody is about to print."""
    if pdf_ready():
        _waiting.warm()


class _Waiting:
    """At most one process that has loaded what it needs and waits for its document."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None

    def take(self) -> subprocess.Popen[bytes]:
        """The one that waits, or a new one."""
        with self._lock:
            process, self._process = self._process, None
        return process if process is not None and process.poll() is None else _start()

    def warm(self) -> None:
        with self._lock:
            if self._process is None or self._process.poll() is not None:
                self._process = _start()

    def end(self) -> None:
        with self._lock:
            process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.communicate()


def _start() -> subprocess.Popen[bytes]:
    pipe = subprocess.PIPE
    return subprocess.Popen(PROCESS, cwd=settings.ROOT, stdin=pipe, stdout=pipe, stderr=pipe)


_waiting = _Waiting()
atexit.register(_waiting.end)


@cache
def _ungathered() -> list[str]:
    """Where static files lie before they are gathered."""
    return [storage.location for finder in finders.get_finders() for storage in finder.storages.values()]


def roots() -> list[str]:
    """The folders that our own files are read from: gathered ones first."""
    return [str(Path(settings.STATIC_ROOT)), *_ungathered()]


def static_file(url: str) -> Path:
    """The file a static address stands for; ValueError for any other address."""
    return own_file(url, settings.STATIC_URL, roots())


@lru_cache(maxsize=2048)
def qr_svg(address: str) -> SafeString:
    """A QR code as inline SVG without size of its own (error level M; the style sheet sizes it).

    Kept by its address: the same label is printed again, and making one costs more than drawing it.
    """
    code = segno.make(address, error="m", micro=False)
    return mark_safe(code.svg_inline(omitsize=True, border=2, svgclass="qr", lineclass="qr-line"))  # noqa: S308
