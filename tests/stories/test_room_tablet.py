"""The shared tablet on the wall, 820 by 1180: a stir without a name, then somebody says who they are."""

import json
from collections.abc import Callable, Iterator
from datetime import timedelta
from decimal import Decimal

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.utils import timezone
from playwright.sync_api import Browser, Error, Page, expect

from buckets.models import Care, Fill
from studio.people.tablet import KEPT
from tests import factories
from tests.factories import person, the_room, with_pin
from tests.look.measures import faults_by_axe, faults_of_size
from tests.stories.walking import press, says, sign_in, write

pytestmark = [pytest.mark.browser, pytest.mark.story, pytest.mark.django_db(transaction=True)]
TABLET = {"width": 820, "height": 1180}
KEPT_BY_THE_BROWSER = "JSON.stringify([{...localStorage}, {...sessionStorage}, document.cookie])"


@pytest.fixture
def house() -> None:
    """Linseed in B05, a fill to release in B06, Ngozi who may add water, Bram who may release; the room."""
    factories.FillFactory(vessel=factories.VesselFactory(code="B05"))
    factories.FillFactory(vessel=factories.VesselFactory(code="B06"), state="testing")
    with_pin(person("Ngozi", "helper", signed_off=("wet mixing",)))
    with_pin(factories.bram(), "4096")
    the_room()


@pytest.fixture
def tablet(browser: Browser, live_server, house: None) -> Iterator[Callable[..., Page]]:
    """A window of the tablet, signed in as the room."""
    contexts = []

    def opened(*, script: bool) -> Page:
        context = browser.new_context(java_script_enabled=script, viewport=TABLET, has_touch=True)
        contexts.append(context)
        return sign_in(context.new_page(), live_server.url, "room")

    yield opened
    for context in contexts:
        context.close()


def run_out(page: Page) -> None:
    """The ten minutes are over."""
    key = next(cookie["value"] for cookie in page.context.cookies() if cookie["name"] == "sessionid")
    session = SessionStore(key)
    session[KEPT] = session[KEPT] | {"until": (timezone.now() - timedelta(seconds=1)).isoformat()}
    session.save()


def give_pin(page: Page, name: str, pin: str) -> None:
    says(page, "Who is it?")
    press(page, name)
    write(page, "PIN", pin)
    press(page, "It is me")


def send(page: Page) -> None:
    page.locator("main form button.strong").click()
    page.wait_for_load_state()


def bar(page: Page) -> str:
    return page.locator(".bar .who").first.inner_text()


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_an_evening_at_the_tablet(tablet, live_server, script):
    page = tablet(script=script)
    page.goto(f"{live_server.url}/shelf/B05/")
    assert "who is it?" in bar(page)
    press(page, "I stirred it")
    stirred = Care.objects.get()
    assert (stirred.kind, stirred.by.role) == ("stirred", "the room")

    page.goto(f"{live_server.url}/shelf/B05/water/")
    give_pin(page, "Ngozi", "7308")
    assert "Ngozi, until" in bar(page)
    write(page, "Water that went in", "0,3", unit="L")
    write(page, "Note", "rinse water")
    run_out(page)
    send(page)
    says(page, "What was typed is kept")
    give_pin(page, "Ngozi", "7309")
    says(page, "That is not right")
    assert page.get_by_label("PIN").input_value() == ""
    assert not Care.objects.filter(kind="water in").exists()
    write(page, "PIN", "7308")
    press(page, "It is me")
    water = Care.objects.get(kind="water in")
    assert (str(water.by), water.volume_l, water.note) == ("Ngozi", Decimal("0.3"), "rinse water")

    press(page, "done")
    assert "Ngozi" not in bar(page)

    page.goto(f"{live_server.url}/shelf/B06/")
    assert page.get_by_role("link", name="Release").count() == 0
    page.locator(".bar .who").click()
    give_pin(page, "Bram", "4096")
    assert page.url == f"{live_server.url}/shelf/B06/"
    page.goto(f"{live_server.url}/shelf/B06/release/")
    press(page, "Release it")
    expect(page.get_by_role("heading", level=1)).to_have_text("Bram")
    assert Fill.objects.get(vessel__code="B06").state == "testing"
    write(page, "PIN", "4096")
    press(page, "It is me")
    says(page, "In use")
    assert Fill.objects.get(vessel__code="B06").state == "in use"


def test_two_taps_on_it_is_me_do_it_once(tablet, live_server):
    page = tablet(script=False)
    page.goto(f"{live_server.url}/shelf/B05/water/")
    give_pin(page, "Ngozi", "7308")
    write(page, "Water that went in", "0.3", unit="L")
    run_out(page)
    send(page)
    press(page, "Ngozi")
    write(page, "PIN", "7308")
    page.get_by_role("button", name="It is me").dblclick()
    page.wait_for_url("**/shelf/B05/")
    assert Care.objects.filter(kind="water in").count() == 1
    assert "Ngozi, until" in bar(page)


def test_the_browser_keeps_no_pin(tablet, live_server):
    page = tablet(script=True)
    page.goto(f"{live_server.url}/people/who/?next=/shelf/")
    give_pin(page, "Ngozi", "7308")
    kept = json.loads(page.evaluate(KEPT_BY_THE_BROWSER))
    cookies = [cookie["value"] for cookie in page.context.cookies()]
    assert kept[:2] == [{}, {}]
    assert not [value for value in [*cookies, kept[2], page.url] if value == "7308" or "=7308" in value]
    with pytest.raises(Error, match="ERR_CACHE_MISS"):  # the page with the PIN is kept nowhere
        page.go_back()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_questions_can_be_read_and_touched(tablet, live_server, scheme):
    for name in ("Ada", "Ben", "Cleo", "Dana", "Eun", "Fay", "Gil", "Hal", "Ida", "Jo", "Kim", "Örjan"):
        with_pin(person(name))
    page = tablet(script=True)
    page.goto(f"{live_server.url}/shelf/B05/water/")

    def faults() -> list[str]:
        sizes = [fault for width in (390, 820, 1280) for fault in faults_of_size(page, width)]
        return sizes + faults_by_axe(page, scheme)

    assert faults() == []
    page.get_by_role("link", name="O", exact=True).click()
    assert page.evaluate("location.hash") in ("#names-O", "#names-%C3%96")
    press(page, "Ngozi")
    assert faults() == []
    write(page, "PIN", "1")
    press(page, "It is me")
    says(page, "A PIN is 4 to 6 digits")
    assert faults() == []
    write(page, "PIN", "7308")
    press(page, "It is me")
    assert faults() == []
