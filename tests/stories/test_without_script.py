"""The main acts on a phone whose browser runs no script: the pages are forms and links, nothing more."""

from decimal import Decimal

import pytest
from playwright.sync_api import Page, expect

from batches.models import Request
from buckets.models import Care, Fill, Reading, Use
from buckets.operations.labels import print_bucket_label
from safety.models import Label
from tests import factories
from tests.stories.walking import PATIENCE, choose, follow, measure_by, pick, press, says, sign_in, write

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def plain(browser, live_server):
    """A window without script for somebody by name; without a name for a stranger."""
    contexts = []

    def opened(username: str = "") -> Page:
        context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        return sign_in(page, live_server.url, username) if username else page

    yield opened
    for context in contexts:
        context.close()


@pytest.fixture
def fill():
    """8.3 L of Linseed in B05, in use, never stirred here; a cylinder and the fine scale beside it."""
    factories.GlassFactory()
    factories.ScaleFactory(name="Fine scale", division_g="0.1", capacity_g="600")
    factories.person("Ilse")
    return factories.FillFactory(vessel=factories.VesselFactory(code="B05"))


def test_a_member_stirs_reads_uses_and_reports(plain, fill, live_server):
    page = plain("ilse")
    page.goto(f"{live_server.url}/shelf/")
    follow(page, "Linseed")
    press(page, "I stirred it")
    assert Care.objects.get(kind="stirred").fill == fill

    follow(page, "Take a reading")
    measure_by(page, "I have the number")
    write(page, "Specific gravity", "14.3")
    press(page, "Keep this")
    says(page, "Which did you mean?")  # asked back, not guessed
    assert Reading.objects.filter(by__username="ilse").count() == 0
    choose(page, "1.43")
    press(page, "Keep this")
    assert Reading.objects.get(by__username="ilse").sg == Decimal("1.43")
    follow(page, "B05")

    follow(page, "I used some")
    write(page, "Glaze you used", "300")  # mL stands beside it
    write(page, "For how many pieces", "4")
    press(page, "Keep this")
    used = Use.objects.get()
    assert (used.volume_l, used.pieces) == (Decimal("0.3"), 4)

    follow(page, "Something is wrong")
    page.locator("summary", has_text="Say more, or add a photo").click()
    write(page, "What looks wrong", "blue specks on the rim")
    press(page, "Report")
    says(page, "Do not use", "blue specks")
    fill.refresh_from_db()
    assert fill.held


def test_a_reading_is_weighed(plain, fill, live_server):
    page = plain("bram")
    page.goto(f"{live_server.url}/shelf/B05/")
    follow(page, "Take a reading")
    measure_by(page, "Weigh a known volume")
    choose(page, "Cylinder 100")
    choose(page, "Fine scale")
    write(page, "Filled to the mark", "208.9")
    press(page, "Keep this")
    says(page, "1.432", "nside")  # (208.9 g - 65.7 g) / 100 mL
    assert Reading.objects.latest("pk").sg == Decimal("1.432")


def test_water_goes_in_and_a_slip_keeps_what_was_typed(plain, fill, live_server):
    page = plain("bram")
    page.goto(f"{live_server.url}/shelf/B05/")
    follow(page, "Water in")
    write(page, "Water that went in", "half a jug")
    write(page, "Note", "rinse water")
    press(page, "It is in")
    says(page, "This is not a number")
    assert page.get_by_role("textbox", name="Note").input_value() == "rinse water"
    assert not Care.objects.filter(kind="water in").exists()
    write(page, "Water that went in", "0,4")
    press(page, "It is in")
    assert Care.objects.get(kind="water in").volume_l == Decimal("0.4")
    says(page, "Measure first")


def test_a_stranger_reports_from_a_scanned_label(plain, fill, live_server):
    label = print_bucket_label(fill=fill, by=factories.bram())
    page = plain()
    page.goto(f"{live_server.url}/l/{label.serial}/")
    follow(page, "Something is wrong")
    page.locator("summary", has_text="Say more, or add a photo").click()
    write(page, "What looks wrong", "smells of eggs")
    press(page, "Report")
    says(page, "Do not use")
    assert Fill.objects.get(pk=fill.pk).held
    assert Label.objects.get(pk=label.pk).state == Label.State.PRINTED


def test_glaze_is_asked_for_and_approved(plain, live_server):
    factories.VersionFactory(name="Linseed")
    factories.ScaleFactory()
    factories.person("Ilse")
    factories.tamsin()
    page = plain("ilse")
    follow(page, "Making")
    follow(page, "Ask for glaze")
    follow(page, "As dry mass")
    pick(page, "Glaze", "Linseed")
    write(page, "Dry glaze", "4")  # kg stands beside it
    press(page, "Work it out")
    says(page, "4 kg", "Nothing is sent yet")
    write(page, "What it is for", "the March firing")
    press(page, "Send it")
    asked = Request.objects.get()
    assert (asked.dry_g, asked.by.username) == (Decimal(4000), "ilse")

    page = plain("tamsin")
    page.goto(live_server.url)
    follow(page, f"Request {asked.number}")
    press(page, "Approve")
    asked.refresh_from_db()
    assert asked.batch.state == "planned"


def test_a_line_is_weighed_at_the_bench(plain, live_server):
    batch = factories.BatchFactory(state="weighing")
    line = batch.lines.first()
    page = plain("bram")
    page.goto(f"{live_server.url}/making/{batch.number}/bench/")
    expect(page.locator("h1")).to_have_text(line.name)
    write(page, "The scale shows", str(int(line.target_g) + 100))
    press(page, "It is in the bucket")
    says(page, "100 g over")
    assert not line.weighings.exists()
    write(page, "The scale shows", str(int(line.target_g)))
    press(page, "It is in the bucket")
    assert line.weighings.get().net_g == int(line.target_g)
    expect(page.locator("h1")).to_have_text(batch.lines.all()[1].name)
