"""A process that turns one HTML document into one PDF and ends.

Started by ``studio.printing`` before it is needed: the library is loaded while it waits. Reads a line of
JSON (where our own files lie) and the HTML from standard input, writes the PDF to standard output. Nothing
of Django is loaded here. It ends by itself when whoever started it is gone, for then its input ends.
"""

import json
import mimetypes
import os
import sys
from pathlib import Path

BASE = "https://stirbook.invalid"  # never asked for: only what lies below the static address is answered
POLITE = 10  # pages that people wait for come first


def own_file(url: str, static_url: str, roots: list[str]) -> Path:
    """The file a static address stands for, below one of ``roots``; ValueError for any other address."""
    prefix = BASE + static_url
    if url.startswith(prefix):
        name = url.removeprefix(prefix).split("?")[0]
        for root in roots:
            path = (Path(root) / name).resolve()
            if path.is_relative_to(Path(root).resolve()) and path.is_file():
                return path
    raise ValueError(f"not one of our own files: {url}")


def write(html: str, static_url: str, roots: list[str]) -> bytes:
    """HTML as PDF. Only data: and our own static files are read; everything else is refused."""
    from weasyprint import HTML
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesOnly(URLFetcher):
        def fetch(self, url, headers=None):
            if url.startswith("data:"):
                return super().fetch(url, headers)
            path = own_file(url, static_url, roots)
            kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
            return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": kind})

    fetcher = OwnFilesOnly(allowed_protocols=["data"])
    return HTML(string=html, base_url=BASE, url_fetcher=fetcher).write_pdf()


def main() -> None:
    os.nice(POLITE)
    import weasyprint  # noqa: F401 - 0.8 s, spent while nobody waits

    told = sys.stdin.buffer.readline()
    if not told:
        return
    about = json.loads(told)
    html = sys.stdin.buffer.read().decode()
    sys.stdout.buffer.write(write(html, about["static_url"], about["roots"]))


if __name__ == "__main__":
    main()
