"""Walking through the pages as a person does: signing in, reading, pressing, following, filling in."""

import re

from playwright.sync_api import Locator, Page

from tests.factories import PASSWORD

PATIENCE = 8000  # ms until a click that finds nothing has failed


def sign_in(page: Page, address: str, username: str, password: str = PASSWORD) -> Page:
    """Sign in as somebody; sign out whoever was there."""
    page.set_default_timeout(PATIENCE)
    page.context.clear_cookies()
    page.goto(f"{address}/people/login/")
    page.get_by_label("Name to sign in with").fill(username)
    page.get_by_label("Password").fill(password)
    press(page, "Sign in")
    page.wait_for_url(lambda url: "/login/" not in url)
    return page


def words(page: Page) -> str:
    """What the page says, spaces of every width made plain."""
    return re.sub(r"\s+", " ", page.locator("main").inner_text())


def says(page: Page, *wanted: str) -> None:
    said = words(page)
    for text in wanted:
        assert text in said, f"{text!r} not in: {said}"


def press(page: Page, name: str) -> None:
    """Press the first button that bears these words."""
    page.get_by_role("button", name=name, exact=False).first.click()
    page.wait_for_load_state()


def follow(page: Page, name: str) -> None:
    """Follow the first link that bears these words."""
    page.get_by_role("link", name=name, exact=False).first.click()
    page.wait_for_load_state()


def measure_by(page: Page, way: str) -> None:
    """Choose how to measure: asked at once, or folded behind the way this person took the last time."""
    folded = page.locator("summary", has_text="How do you measure?")
    if folded.count():
        if way in folded.inner_text():
            return
        folded.click()
    follow(page, way)


def choose(page: Page, name: str) -> None:
    """Tick one of the large choices that begins with this name."""
    page.get_by_role("radio", name=name, exact=False).first.check()


def write(page: Page, label: str, text: str, *, unit: str = "") -> None:
    """Type into the field with this label; ``unit`` is chosen beside it."""
    page.get_by_role("textbox", name=label, exact=False).first.fill(text)
    if unit:
        page.get_by_label(f"unit of {label}", exact=False).first.select_option(label=unit)


def pick(page: Page, label: str, option: str) -> None:
    """Choose from a list the option that begins with these words."""
    field = page.get_by_role("combobox", name=label, exact=False).first
    options = field.locator("option").all_inner_texts()
    field.select_option(label=next(text for text in options if text.strip().startswith(option)))


def beside(page: Page, label: str) -> str:
    """The sentence beside the field with this label, empty when it was not refused."""
    field: Locator = page.get_by_label(label, exact=False).first
    ids = (field.get_attribute("aria-describedby") or "").split()
    errors = [page.locator(f"#{name}") for name in ids if name.endswith("_error")]
    return re.sub(r"\s+", " ", errors[0].inner_text()) if errors else ""
