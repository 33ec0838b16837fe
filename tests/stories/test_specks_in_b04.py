"""Scenario E of the day in the room: specks in B04, reported by nobody, traced, judged and answered."""

import pytest
from django.utils import timezone

from buckets.models import Fill, Report
from tests import factories
from tests.buckets import scenario_e
from tests.buckets.photos import image
from tests.stories.walking import choose, follow, press, says, sign_in, words, write

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def room(live_server):
    factories.bram()
    return scenario_e.room(timezone.now())


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

    # 5. forward from the frit: both buckets, and what lies behind B04
    lot = page.request.get(f"{here}/shelf/lots/FL-07/")
    assert lot.status == 200
    page.goto(f"{here}/shelf/lots/FL-07/")
    says(page, "B04", "B05")
    assert len([code for code in ("B04", "B05", "B06") if code in words(page)]) == 2

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
