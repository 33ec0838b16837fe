"""Scenario E of the day in the room: specks in B04, reported by nobody, traced, judged and answered."""

import pytest
from django.utils import timezone

from buckets.models import Fill, Report
from tests import factories
from tests.buckets import scenario_e
from tests.buckets.photos import image
from tests.stories.walking import choose, follow, pick, press, says, sign_in, write

pytestmark = [pytest.mark.browser, pytest.mark.story, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def room(live_server):
    factories.bram()
    scenario_e.slate_hour()
    laid = scenario_e.room(timezone.now())
    # the scenario reckons with 2.649; the densities in the store give a little otherwise
    Fill.objects.filter(pk=laid["B04"].pk).update(particle_density="2.649")
    return laid


def test_specks_are_reported_traced_judged_and_answered(live_server, page, room):
    here = live_server.url
    page.set_default_timeout(8000)

    # 2. a stranger's two taps with a photo: held at once, and use is refused
    page.goto(f"{here}/shelf/B04/")
    follow(page, "Something is wrong with it")
    page.locator("summary", has_text="Say more, or add a photo").click()
    page.locator("input[type=file]").last.set_input_files(
        {"name": "specks.jpg", "mimeType": "image/jpeg", "buffer": image()}
    )
    press(page, "Specks")
    page.goto(f"{here}/shelf/B04/")
    says(page, "Do not use", "specks")
    report = Report.objects.get()
    assert report.by is None
    assert report.photos.count() == 1

    # whoever used it in the last seven days is told; a member cannot release it
    sign_in(page, here, "ilse")
    page.goto(f"{here}/people/notices/")
    says(page, "B04")
    answer = page.goto(f"{here}/shelf/B04/reports/{report.pk}/answer/")
    assert answer.status == 403
    page.goto(f"{here}/shelf/B04/used/")
    page.locator("main button").first.click()
    page.wait_for_load_state()
    says(page, "held")

    # 3. the technician sees the window of doubt
    sign_in(page, here, "bram")
    says(page, "B04 Linseed: something is wrong")
    follow(page, "B04 Linseed: something is wrong")
    says(page, "3 logs, 7 pieces", "2 logs, 3 pieces", "inform, low risk", "tell the room, too")
    says(page, *scenario_e.LINSEED_LOTS)
    assert page.locator("img.photo").count() == 1

    # 5. a foreign glaze is looked for first; a lot that is in B05 as well, where nobody saw specks, is not
    first = page.locator("section", has_text="Order to look").locator("ol li").first.inner_text()
    assert "Another glaze fell in" in first
    assert "not of B05" in first

    # 4. at most so much of Slate Hour: 3.27 % of the dry glaze
    follow(page, "Another glaze fell in: how much at most?")
    pick(page, "Which glaze fell in", "Slate Hour")
    write(page, "At most so much of it", "250", unit="mL")
    write(page, "Its specific gravity", "1.46")
    write(page, "Litres in the bucket before", "8.10")
    write(page, "Specific gravity in the bucket", "1.418")
    press(page, "Work it out")
    says(page, "3.27 %", "184 g", "5 623 g", "8.35 L", "1.4193", "0.024 %")

    # 5. forward from the frit: three batches, both buckets
    page.goto(f"{here}/shelf/lots/FL-07/")
    says(page, "B04", "B05")
    batches = page.locator("section", has=page.get_by_role("heading", name="Batches")).locator("li")
    assert batches.count() == 3

    # 6. released as tinted, by a decision; reporter's and users' answer
    page.goto(f"{here}/shelf/B04/reports/{report.pk}/answer/")
    choose(page, "Release it as tinted")
    write(page, "What was found and decided", "Sieved at 120, the tile is good.")
    page.locator("main form button").first.click()
    page.wait_for_load_state()
    fill = Fill.objects.get(pk=room["B04"].pk)
    assert (fill.held, fill.tinted) == (False, True)
    says(page, "tinted")
    sign_in(page, here, "ilse")
    page.goto(f"{here}/people/notices/")
    says(page, "Sieved at 120, the tile is good.")
