"""Every page of the gallery in a real browser: sizes, targets, sideways scrolling, axe, and the policy."""

import mimetypes
from urllib.parse import urlsplit

import pytest
from django.conf import settings

from studio.middleware import CONTENT_SECURITY_POLICY
from tests.look import gallery
from tests.look.measures import OPEN_ALL, faults_by_axe, faults_of_size

pytestmark = pytest.mark.browser

HOST = "http://stirbook.test"  # answered by the test itself, nothing leaves the machine
STATIC = settings.ROOT / "studio" / "static"
PAGES = (*gallery.PAGES, *gallery.ERRORS)


def answer(route):
    path = urlsplit(route.request.url).path
    if path.startswith("/static/"):
        body = (STATIC / path.removeprefix("/static/")).read_bytes()
        return route.fulfill(body=body, content_type=mimetypes.guess_type(path)[0] or "font/woff2")
    html = gallery.render(path.removeprefix("/gallery/"))
    headers = {"Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": CONTENT_SECURITY_POLICY}
    return route.fulfill(body=html, headers=headers)


@pytest.fixture
def open_page(page):
    """Open one page of the gallery at a width and scheme; what the browser complains of is kept."""
    page.route(f"{HOST}/**", answer)
    complaints = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))

    def opened(name, width, scheme="light"):
        page.set_viewport_size({"width": width, "height": 800})
        page.emulate_media(color_scheme=scheme)
        page.goto(f"{HOST}/gallery/{name}")
        page.evaluate("document.fonts.ready")
        page.evaluate(OPEN_ALL)
        return page

    opened.complaints = complaints
    return opened


@pytest.mark.parametrize("name", PAGES)
def test_a_page_fits_and_can_be_read_and_touched_at_every_width(open_page, name):
    for width in (320, 360, 390, 820, 1280):
        page = open_page(name, width)
        assert faults_of_size(page, width) == []
    assert open_page.complaints == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", PAGES)
def test_axe_finds_nothing(open_page, name, scheme):
    assert faults_by_axe(open_page(name, 390, scheme), scheme) == []


def test_a_folded_row_keeps_every_fact_of_the_table(open_page):
    wide = open_page("shelf", 1280).locator("tbody tr").first.inner_text().split()
    folded = open_page("shelf", 390).locator("tbody tr").first.inner_text().split()
    assert sorted(wide) == sorted(folded)
    assert len(wide) > 12


def test_on_a_phone_every_entry_of_the_bar_is_in_reach(open_page):
    for width in (360, 390):
        page = open_page("shelf", width)
        for link in page.locator(".bar a").all():
            link.scroll_into_view_if_needed()
            box = link.bounding_box()
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= width + 0.5, link.inner_text()


def test_an_answer_that_ran_out_says_so_by_itself(open_page):
    page = open_page("answers", 390)
    dip = page.locator(".answer.dip")
    assert dip.get_by_text("Holds until").is_visible()
    assert not dip.get_by_text("no longer does").is_visible()
    page.evaluate(
        """document.querySelector('.answer.dip').dataset.until = '2020-01-01T00:00:00Z'; lookAtClock()"""
    )
    assert dip.get_by_text("no longer does").is_visible()
    assert not dip.get_by_text("Holds until").is_visible()


def test_a_refused_form_is_read_from_the_list_of_what_to_put_right(open_page):
    page = open_page("form", 390)
    assert page.evaluate("document.activeElement.matches('[data-first]')")
    page.get_by_role("link", name="Depth on the stick").click()
    assert page.evaluate("document.activeElement.id") == "id_depth"


def test_the_keyboard_shows_where_it_is(open_page):
    page = open_page("bucket", 820)
    for _ in range(12):
        page.keyboard.press("Tab")
        style = page.evaluate(
            "(s => [s.outlineStyle, parseFloat(s.outlineWidth)])(getComputedStyle(document.activeElement))"
        )
        assert style == ["solid", 3]


def test_print_is_black_on_white_without_the_controls(open_page):
    page = open_page("answers", 820, "dark")
    page.emulate_media(media="print", color_scheme="dark")
    body, answer = (
        "getComputedStyle(document.body)",
        "getComputedStyle(document.querySelector('.answer.stop'))",
    )
    assert page.evaluate(f"{body}.color") == "rgb(0, 0, 0)"
    assert page.evaluate(f"{body}.backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate(f"{answer}.backgroundColor") == "rgb(255, 255, 255)"
    assert not page.locator(".bar").is_visible()
    page = open_page("bucket", 820)
    page.emulate_media(media="print")
    assert page.locator(".answer").is_visible()
    assert not page.locator(".acts").is_visible()
