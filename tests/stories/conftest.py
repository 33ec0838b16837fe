"""Pictures of a story: every page whole for whoever looks today, a few first screens for the record."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page

KEPT = Path(__file__).resolve().parent.parent / "pictures"
MOST_KEPT = 8
LARGEST = 120_000  # bytes


def _make_small(path: Path) -> None:
    """A page of paper and ink needs few colours."""
    with Image.open(path) as whole:
        few = whole.convert("RGB").quantize(64)
    few.save(path, optimize=True)


@pytest.fixture
def picture(request, tmp_path) -> Callable[..., Path]:
    """Take a picture; with `--keep-pictures` those marked ``keep`` go to tests/pictures/."""
    keeping = request.config.getoption("--keep-pictures")
    kept: list[str] = []

    def take(page: Page, name: str, *, keep: bool = False) -> Path:
        if keep:
            kept.append(name)
            assert len(kept) <= MOST_KEPT, kept
        folder = KEPT if keep and keeping else tmp_path
        folder.mkdir(exist_ok=True)
        path = folder / f"set-up-{name}.png"
        page.evaluate("scrollTo(0, 0)")
        page.screenshot(path=path, full_page=not keep)
        if keep:
            _make_small(path)
            assert path.stat().st_size <= LARGEST, f"{name}: {path.stat().st_size} bytes"
        return path

    return take
