"""Scenario B of the day in the room: a member finds B09 unknown, measures it, dips by it and thins a cup."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from buckets.models import Use
from buckets.operations.coating import record_tile
from buckets.operations.fills import take_over_bucket
from buckets.operations.holding import release_fill
from buckets.operations.labels import print_bucket_label
from buckets.operations.readings import record_reading
from buckets.queries import dip_check_of, fill_in
from studio.room import policy
from studio.room.operations.bodies import add_body
from tests.factories import GlassFactory, ScaleFactory, VesselFactory, bram, person
from tests.stories.walking import choose, follow, measure_by, press, says, sign_in, words, write

pytestmark = [pytest.mark.browser, pytest.mark.story, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def b09(live_server):
    """Peat Pool, 1.46 +- 0.02, powder 2.722; a tile of 0.085 g/cm2 in 3 s; last read nine days ago."""
    by, before = bram(), timezone.now() - timedelta(days=30)
    person("Ilse", signed_off=("dipping", "SG"))
    GlassFactory(name="Cylinder 100", volume_ml="100", tolerance_ml="0.5", empty_g="66.3")
    GlassFactory(name="Flask 250", kind="flask", volume_ml="250", tolerance_ml="1", empty_g="92.7")
    ScaleFactory(name="Fine scale", division_g="0.1", capacity_g="600")
    add_body(
        name="Buff stoneware",
        absorption_pct=Decimal(11),
        bulk_density=Decimal("1.90"),
        drying_g_per_cm2_h=Decimal("0.018"),
        wall_mm=Decimal(5),
        by=by,
    )
    fill = take_over_bucket(
        vessel=VesselFactory(code="B09"),
        glaze="Peat Pool",
        target_sg=Decimal("1.46"),
        half_window=Decimal("0.02"),
        particle_density=Decimal("2.722"),
        volume_l=Decimal("9.35"),
        by=by,
        at=before,
    )
    old = print_bucket_label(fill=fill, by=by, at=before)
    fill = release_fill(fill=fill, by=by, at=before)
    record_tile(
        fill=fill,
        seconds=Decimal(3),
        sg=Decimal("1.46"),
        coat_g_per_cm2=Decimal("0.085"),
        target_g_per_cm2=Decimal("0.085"),
        by=by,
        at=before,
    )
    nine = timezone.now() - timedelta(days=9)
    record_reading(fill=fill, sg=Decimal("1.459"), u_sg=Decimal("0.0043"), by=by, at=nine)
    return old


def weigh(page, glass, gross):
    follow(page, "Take a reading")
    measure_by(page, "Weigh a known volume")
    choose(page, glass)
    choose(page, "Fine scale")
    write(page, "Filled to the mark", gross)


def test_a_member_checks_b09_and_thins_a_cup(live_server, page, b09):
    old = b09
    here = live_server.url
    sign_in(page, here, "ilse")

    # 1. the old label is red and names the live one; the bucket is not known well enough to dip
    page.goto(f"{here}/l/{old.serial}/")
    live = fill_in("B09").label_serial
    assert live != old.serial
    says(page, "no longer the one in force", old.serial, f"the one now is {live}")
    assert page.get_by_role("link", name="I used some").count() == 0
    page.goto(f"{here}/shelf/B09/")
    says(page, "Measure first", "9 days old")

    # 2. stirred; the cylinder cannot tell
    press(page, "I stirred it")
    weigh(page, "Cylinder 100", "213.8")
    press(page, "Keep this")
    says(page, "1.475", "0.009")
    page.goto(f"{here}/shelf/B09/")
    says(page, "Measure first", "chance inside 88 %")

    # 3. the flask can; the technician's check stays as it was
    weigh(page, "Flask 250", "460.2")
    write(page, "Depth on the stick", "16.2")
    press(page, "Keep this")
    says(page, "1.470")
    now = fill_in("B09")
    assert now.check_reading.sg == Decimal("1.459")
    check = dip_check_of(now, timezone.now(), policy.in_force())
    assert (check.answer, check.by) == ("dip", "member")
    assert check.readings_until - now.member_reading.at == timedelta(days=2)
    assert abs(now.volume_l - Decimal("8.83")) <= Decimal("0.01")

    # 4. seconds for today's gravity
    page.goto(f"{here}/shelf/B09/")
    says(page, "About 2.9 s for one coat at SG 1.470")

    # 5. a cup, never back
    follow(page, "Thin or thicken a cup")
    write(page, "How much you need", "300")
    write(page, "How thick it should be", "1.38")
    page.locator("button[name=look]").click()
    says(page, "243 mL", "57 mL", "180")
    says(page, "never goes back into the bucket")
    press(page, "The cup is made")
    says(page, "1.38")
    assert abs(Use.objects.get().volume_l - Decimal("0.243")) <= Decimal("0.001")
    assert "pour back" not in words(page).lower()

    # 6. the second coat on the same wall, out of the thinned cup
    page.goto(f"{here}/shelf/B09/coats/")
    page.get_by_label("Clay body").select_option(label="Buff stoneware")
    write(page, "Wall", "5")
    choose(page, "on both faces")
    choose(page, "one coat")
    page.locator("input[name=cup_sg]").fill("1.38")
    page.locator("input[name=coat_g_per_cm2]").fill("0.045")
    press(page, "Ask")
    says(page, "About 5.8 s", "touch test first", "Come back in about 4 h or tomorrow")
    says(page, "the next coat will not form: only a film will hold")
    page.locator("summary", has_text="How the wall was asked").click()
    says(page, "build ratio 1.01, dry ratio 0.63", "damp for 1.72 h", "with 30 % margin 3.01 h")
    says(page, "build ratio 0.01", "wait at least 2.31 h")

    # 8. two pieces used
    page.goto(f"{here}/shelf/B09/")
    follow(page, "I used some")
    press(page, "2 pieces")
    assert Use.objects.order_by("id").last().pieces == 2
