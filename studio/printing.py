"""Templates onto paper: PDF where the machine can, a page to print where it can't."""

import ctypes.util
import mimetypes
from functools import cache
from pathlib import Path
from typing import Any

import segno
from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.exceptions import SuspiciousFileOperation
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

BASE = "https://stirbook.invalid"  # never asked for: only what lies below STATIC_URL is answered
INSTALL_LINE = "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"


@cache
def pdf_ready() -> bool:
    """Whether this machine can make PDFs: WeasyPrint and the libraries it draws text with.

    The libraries are looked for first, because importing WeasyPrint without them is slow and loud.
    """
    if not (ctypes.util.find_library("pangoft2-1.0") and ctypes.util.find_library("harfbuzz-subset")):
        return False
    try:
        import weasyprint  # noqa: F401 - 0.8 s and 57 MB, so only when first needed
    except (ImportError, OSError):
        return False
    return True


def paper(request: HttpRequest, template: str, context: dict[str, Any], name: str) -> HttpResponse:
    """``template`` as a PDF called ``name``.pdf, or as a page that prints, with the line that helps.

    Call it after the transaction: it takes tens of milliseconds and more.
    """
    if not pdf_ready():
        return render(request, template, {**context, "install_line": INSTALL_LINE})
    response = HttpResponse(pdf(render_to_string(template, context)), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def pdf(html: str) -> bytes:
    """HTML as PDF. Only data: and our own static files are read; everything else is refused."""
    from weasyprint import HTML
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesOnly(URLFetcher):
        def fetch(self, url, headers=None):
            if url.startswith("data:"):
                return super().fetch(url, headers)
            path = static_file(url)
            kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
            return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": kind})

    return HTML(string=html, base_url=BASE, url_fetcher=OwnFilesOnly(allowed_protocols=["data"])).write_pdf()


def static_file(url: str) -> Path:
    """The file a static address stands for; ValueError for any other address."""
    prefix = BASE + settings.STATIC_URL
    if not url.startswith(prefix):
        raise ValueError(f"not one of our own files: {url}")
    name = url.removeprefix(prefix).split("?")[0]
    root = Path(settings.STATIC_ROOT).resolve()
    gathered = (root / name).resolve()
    if gathered.is_relative_to(root) and gathered.is_file():
        return gathered
    try:
        found = finders.find(name)
    except SuspiciousFileOperation:
        found = None
    if not found:
        raise ValueError(f"not one of our own files: {url}")
    return Path(found)


def qr_svg(address: str) -> SafeString:
    """A QR code as inline SVG without size of its own (error level M; the style sheet sizes it)."""
    code = segno.make(address, error="m", micro=False)
    return mark_safe(code.svg_inline(omitsize=True, border=2, svgclass="qr", lineclass="qr-line"))  # noqa: S308
