"""On a phone at the bucket's side: one scan says whether it may be used, two taps say what was used."""

import re
from decimal import Decimal

import pytest
from django.db import transaction
from django.utils import timezone
from playwright.sync_api import Page

from buckets.models import Fill, Use
from buckets.queries import dip_check_of, fill_in
from safety.models import Label
from studio.front import demo
from studio.room.policy import in_force
from tests import factories
from tests.stories.walking import PATIENCE, sign_in

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 390, "height": 844}
END = re.compile(r"[.!?](?=\s|$)")
# Every tap and every page opened, counted by the browser itself and kept from page to page.
COUNTING = """
const add = (name) => sessionStorage.setItem(name, Number(sessionStorage.getItem(name) || 0) + 1);
addEventListener("click", (event) => { if (event.isTrusted) add("taps"); }, true);
addEventListener("keydown", (event) => { if (event.isTrusted) add("keys"); }, true);
addEventListener("DOMContentLoaded", () => add("pages"));
"""


@pytest.fixture
def studio(live_server):
    """The demo studio behind a server."""
    with transaction.atomic():
        demo.lay(timezone.now())
    return live_server


@pytest.fixture
def phone(browser):
    context = browser.new_context(viewport=PHONE, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    yield page
    context.close()


def label_of(code: str) -> Label:
    fill = fill_in(code)
    assert fill is not None
    return Label.objects.exclude(state="void").get(
        on_kind=Fill._meta.label_lower, on_id=fill.pk, purpose="bucket"
    )


def count(page: Page, what: str) -> int:
    return int(page.evaluate(f"sessionStorage.getItem('{what}') || 0"))


def panel_of(page: Page) -> tuple[str, str]:
    """The title and the sentences of the panel, as they can be read now."""
    panel = page.locator(".answer")
    sentences = [text for text in panel.locator("p").all_inner_texts() if text.strip()]
    return panel.locator("h2").inner_text(), " ".join(sentences)


@pytest.mark.parametrize("signed_in", [True, False], ids=["a new member", "a stranger"])
def test_one_scan_of_b05_says_whether_it_may_be_used(studio, phone, signed_in):
    expected = dip_check_of(fill_in("B05"), timezone.now(), in_force()).answer
    if signed_in:
        factories.person("Wren")
        sign_in(phone, studio.url, "wren")
    phone.add_init_script(COUNTING)
    phone.goto(f"{studio.url}/l/{label_of('B05').serial}/")  # what the camera opens
    phone.wait_for_load_state()
    title, said = panel_of(phone)
    assert title.casefold().endswith(expected)
    assert 1 <= len(END.findall(said)) <= 2, said
    assert count(phone, "taps") == 0
    assert count(phone, "pages") == 1
    box = phone.locator(".answer").bounding_box()
    assert box["y"] + box["height"] <= PHONE["height"], "the answer stands on the first screen"


def test_logging_use_takes_two_taps_and_no_typing(studio, phone):
    factories.person("Wren")
    sign_in(phone, studio.url, "wren")
    phone.add_init_script(COUNTING)
    phone.goto(f"{studio.url}/shelf/B01/")
    before, litres = Use.objects.count(), fill_in("B01").volume_l
    phone.get_by_role("link", name="I used some").tap()
    phone.wait_for_url("**/used/")
    phone.get_by_role("button", name="2 pieces").tap()
    phone.wait_for_url("**/shelf/B01/")
    assert (count(phone, "taps"), count(phone, "keys")) == (2, 0)
    use = Use.objects.latest("pk")
    assert (Use.objects.count(), use.pieces, use.by.name) == (before + 1, 2, "Wren")
    assert Decimal("0.02") < use.volume_l < Decimal("0.4")
    assert fill_in("B01").volume_l == litres - use.volume_l
    assert "Noted: 2 pieces" in phone.locator("body").inner_text()


def test_the_buttons_for_use_are_large_and_typing_stays_possible(studio, phone):
    factories.person("Wren")
    sign_in(phone, studio.url, "wren")
    phone.goto(f"{studio.url}/shelf/B01/used/")
    buttons = phone.get_by_role("button", name="about")
    assert buttons.count() >= 4
    for button in buttons.all():
        assert button.bounding_box()["height"] >= 56
    assert phone.get_by_role("textbox", name="Glaze you used").is_visible()


def test_a_new_member_reads_the_dip_card_once(studio, phone):
    factories.person("Wren")
    sign_in(phone, studio.url, "wren")
    phone.goto(f"{studio.url}/shelf/B01/")
    assert phone.get_by_text("New here? How to dip").is_visible()
    phone.get_by_role("button", name="I have read it").tap()
    phone.get_by_text("The card stays one tap away").wait_for()
    assert phone.url.endswith("/shelf/B01/")
    assert phone.get_by_text("New here? How to dip").count() == 0
    phone.get_by_role("link", name="How to dip here").tap()
    phone.wait_for_url("**/dip-card/")
    assert phone.get_by_role("heading", name="How to dip here").is_visible()
    assert phone.get_by_role("button", name="I have read it").count() == 0
