"""Pictures of every page of the demo studio: python -m tests.take_pictures FOLDER [--keep]

Follows every link from Today as a technician, then the pages a stranger meets, at 390 and 1280 px, light
and dark. FOLDER lies outside the repository. ``--keep`` also renews the few small ones of tests/pictures/.
"""

import argparse
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urljoin, urlsplit

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from studio import system
from tests.chromium import CHROMIUM_FLAGS

ROOT = Path(__file__).resolve().parent.parent
SIZES = {390: 844, 1280: 900}
LIMIT = 160  # pages; the demo studio has fewer kinds than that
NOT_PAGES = re.compile(r"\.(pdf|csv|svg)$|^/static/|^/api/v1/(?!docs)|/logout/|^/l/")

# name: (address, width, scheme, who). Few, because every one is looked at in a review.
KEPT = {
    "shelf-1280-light": ("/shelf/", 1280, "light", "bram"),
    "shelf-390-dark": ("/shelf/", 390, "dark", "ilse"),
    "bucket-390-light": ("/shelf/B05/", 390, "light", "ilse"),
    "bucket-1280-dark": ("/shelf/B02/", 1280, "dark", "bram"),
    "bucket-stranger-390-light": ("/shelf/B04/", 390, "light", ""),
    "today-1280-light": ("/", 1280, "light", "bram"),
    "ask-820-light": ("/making/ask/", 820, "light", "ilse"),
    "making-1280-light": ("/making/", 1280, "light", "bram"),
    "store-1280-light": ("/store/", 1280, "light", "bram"),
    "recipes-390-light": ("/recipes/", 390, "light", "bram"),
    "room-820-light": ("/room/", 820, "light", "bram"),
    "labels-820-light": ("/labels/", 820, "light", "bram"),
    "binder-390-light": ("/binder/", 390, "light", "bram"),
    "spill-390-light": ("/binder/spill/", 390, "light", "ilse"),
    "hazards-1280-light": ("/binder/hazards/", 1280, "light", "ilse"),
}


@contextmanager
def studio() -> Iterator[str]:
    """A demo studio of its own on a free port; gone afterwards."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    address = f"http://127.0.0.1:{port}"
    with tempfile.TemporaryDirectory(prefix="stirbook-pictures-") as data:
        environment = os.environ | {"STIRBOOK_DATA": data, "STIRBOOK_NO_VENV": "1", "STIRBOOK_URL": address}
        command = [sys.executable, str(ROOT / "manage.py"), "serve", "--port", str(port)]
        server = subprocess.Popen(command, cwd=ROOT, env=environment)
        try:
            wait_for(address)
            yield address
        finally:
            server.terminate()
            server.wait(20)


def wait_for(address: str, seconds: int = 180) -> None:
    end = time.monotonic() + seconds
    while True:
        try:
            urllib.request.urlopen(f"{address}/people/login/", timeout=5).read()  # noqa: S310 - our own server
            return
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.5)


def sign_in(page: Page, address: str, who: str) -> None:
    from studio.settings import DEMO_PASSWORD

    page.goto(f"{address}/people/login/")
    page.locator("input[name=username]").fill(who)
    page.locator("input[name=password]").fill(DEMO_PASSWORD)
    page.locator("main button").first.click()
    page.wait_for_url(lambda url: "/login/" not in url)


def addresses(page: Page, start: str) -> list[str]:
    """Every page that links lead to, one of each kind (numbers and codes count as one kind thrice)."""
    found, wait, kinds = [], [start], {}
    while wait and len(found) < LIMIT:
        path = wait.pop(0)
        kind = re.sub(r"\d+", "0", urlsplit(path).path)
        if path in found or kinds.get(kind, 0) >= 3:
            continue
        kinds[kind] = kinds.get(kind, 0) + 1
        answer = page.goto(urljoin(page.url, path))
        if answer is None or answer.status >= 400:
            print(f"{path}: {answer.status if answer else 'no answer'}", file=sys.stderr)
            continue
        found.append(path)
        for link in page.eval_on_selector_all("a[href]", "links => links.map(a => a.href)"):
            parts = urlsplit(link)
            inside = parts.netloc == urlsplit(page.url).netloc and not NOT_PAGES.search(parts.path)
            if inside and parts.path not in found:
                wait.append(parts.path)
    return found


def name_of(path: str) -> str:
    return re.sub(r"[^\w]+", "-", path.strip("/")) or "today"


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("folder", type=Path)
    words.add_argument("--keep", action="store_true")
    said = words.parse_args()
    said.folder.mkdir(parents=True, exist_ok=True)
    with studio() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=system.chromium(), args=CHROMIUM_FLAGS, headless=True
        )
        if said.keep:
            keep(browser, address)
        context = browser.new_context(viewport={"width": 1280, "height": 900})
        page = context.new_page()
        sign_in(page, address, "bram")
        paths = addresses(page, "/")
        for width, height in SIZES.items():
            for scheme in ("light", "dark"):
                page.set_viewport_size({"width": width, "height": height})
                page.emulate_media(color_scheme=scheme)
                for path in paths:
                    page.goto(f"{address}{path}")
                    page.screenshot(
                        path=said.folder / f"{name_of(path)}-{width}-{scheme}.png", full_page=True
                    )
        print(f"{len(paths)} pages, {len(paths) * 4} pictures in {said.folder}")
        browser.close()


def keep(browser, address: str) -> None:
    """The small pictures that README and review use: the first screen, at most 120 kB each."""
    folder = ROOT / "tests" / "pictures"
    folder.mkdir(exist_ok=True)
    for name, (path, width, scheme, who) in KEPT.items():
        context = browser.new_context(viewport={"width": width, "height": SIZES.get(width, 1180)})
        page = context.new_page()
        page.emulate_media(color_scheme=scheme)
        if who:
            sign_in(page, address, who)
        page.goto(f"{address}{path}")
        page.screenshot(path=folder / f"{name}.png")
        context.close()
    bench(browser, address, folder / "bench-820-light.png")
    for path in folder.glob("*.png"):
        Image.open(path).convert("RGB").quantize(128).save(path, optimize=True)


def bench(browser, address: str, path: Path) -> None:
    """The planned batch of the demo studio is begun, its water poured, its first line on the scale."""
    page = browser.new_context(viewport={"width": 820, "height": 1180}).new_page()
    page.emulate_media(color_scheme="light")
    sign_in(page, address, "bram")
    page.goto(f"{address}/")
    page.get_by_role("link", name=re.compile("Batch .*: planned")).click()
    page.get_by_role("link", name="Begin weighing").click()
    page.get_by_role("button", name="Begin weighing").click()
    page.get_by_role("button", name="The water is in").click()
    page.wait_for_load_state()
    page.screenshot(path=path)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    main()
