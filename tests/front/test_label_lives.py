"""Labels live and end: edge cases 44 to 48 of "edge_cases.md", each by its promise."""

import html
import re
from datetime import timedelta
from decimal import Decimal
from io import BytesIO
from uuid import uuid4

import pypdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from buckets.errors import AlreadyFull, FillEmptied
from buckets.models import Report, Use
from buckets.operations.care import log_use
from buckets.operations.fills import empty_fill, take_over_bucket
from buckets.operations.labels import print_bucket_label
from buckets.operations.reports import answer_report
from buckets.operations.swaps import name_other_bucket, not_the_picture
from safety.models import Label
from safety.operations.labels import apply_label, take_off_label
from studio.errors import Refused
from studio.front.due import due
from studio.room.operations.policy import set_policy
from studio.room.steps import progress
from tests.buckets.rows import in_use

pytestmark = pytest.mark.django_db
D = Decimal
HOUR = timedelta(hours=1)


@pytest.fixture
def fill(technician):
    return in_use("B05")


def printed(fill, by, ago=timedelta()):
    return print_bucket_label(fill=fill, by=by, at=timezone.now() - ago)


def text(answer) -> str:
    bare = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", answer.content.decode(), flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(bare).replace("\xa0", " "))


def scan(client, label):
    return client.get(reverse("label", args=[label.serial]))


def due_about(label) -> list[str]:
    return [line.what for line in due(timezone.now(), progress()) if label.serial in line.what]


def test_edge_44_a_void_serial_says_old_label_and_names_the_one_now(client, fill, technician):
    first, second = printed(fill, technician), printed(fill, technician)
    answer = scan(client, first)
    assert answer.status_code == 410
    assert f"Old label {first.serial} ; the one now is {second.serial}" in text(answer)


def test_edge_44_a_reprint_not_removed_is_told_to_the_technician(client, fill, technician, member):
    first, second = printed(fill, technician), printed(fill, technician)
    apply_label(label=second, by=technician)
    assert due_about(first) == []
    scan(client, first)
    assert due_about(first) == [f"Old label {first.serial} of B05 was scanned"]
    client.force_login(member)
    assert "I took it off" in text(scan(client, first))
    answer = client.post(reverse("take-off-label", args=[first.serial]), {"key": uuid4()})
    assert answer.status_code == 303
    assert due_about(first) == []
    Label.objects.filter(pk=first.pk).update(seen_at=timezone.now() + timedelta(seconds=1))
    assert due_about(first)  # scanned once more: there is another copy about


def test_edge_44_two_places_scanned_within_minutes_are_told(client, fill, technician):
    first, second = printed(fill, technician), printed(fill, technician)
    apply_label(label=second, by=technician)
    scan(client, second)
    scan(client, first)
    (line,) = due_about(first)
    assert line.endswith("was scanned, and the one in force within minutes")


def test_a_label_in_force_is_not_taken_off(fill, technician):
    label = printed(fill, technician)
    with pytest.raises(Refused, match="in force"):
        take_off_label(label=label, by=technician)


def test_a_scan_is_remembered_at_most_once_a_minute_and_by_anybody(client, fill, technician):
    label = printed(fill, technician)
    apply_label(label=label, by=technician)
    scan(client, label)
    fill.vessel.refresh_from_db()
    first = fill.vessel.seen_at
    assert (fill.vessel.seen_place, first is not None) == ("shelf A1", True)
    for _ in range(3):
        with CaptureQueriesContext(
            connection,
        ) as asked:
            scan(client, label)
        assert len(asked) <= 3
    fill.vessel.refresh_from_db()
    assert fill.vessel.seen_at == first
    type(fill.vessel).objects.update(seen_at=timezone.now() - timedelta(minutes=2))
    scan(client, label)
    fill.vessel.refresh_from_db()
    assert fill.vessel.seen_at > first


def test_edge_45_a_label_from_an_older_batch_opens_a_red_page_and_nothing_is_logged_from_it(
    client, fill, technician, member
):
    label = printed(fill, technician)
    apply_label(label=label, by=technician)
    empty_fill(fill=fill, why="to reclaim", by=technician)
    again = in_use("B05", glaze="Harbour Fog", litres="5")
    client.force_login(member)
    answer = scan(client, label)
    page = answer.content.decode()
    assert answer.status_code == 410
    assert 'class="red"' in page
    assert "tell a technician" in page
    assert "/used/" not in page
    assert "/stir/" not in page
    with pytest.raises(FillEmptied):
        log_use(fill=fill, volume_l=D("0.1"), by=member)
    posted = client.post(
        reverse("log-use", args=["B05"]),
        {"fill": fill.pk, "key": uuid4(), "volume_l_0": "100", "volume_l_1": "mL"},
    )
    assert posted.status_code == 422
    assert not Use.objects.filter(fill=again).exists()


def test_edge_46_right_label_on_the_wrong_bucket_one_tap_holds_both_candidates_until_a_technician_decides(
    client, fill, technician
):
    other = in_use("B07", glaze="Moss")
    page = client.get("/shelf/B05/").content.decode()
    form = re.search(r'<form[^>]*action="/shelf/B05/not-the-picture/".*?</form>', page, flags=re.S).group(0)
    key = re.search(r'name="key" value="([0-9a-f-]{36})"', form).group(1)
    answer = client.post("/shelf/B05/not-the-picture/", {"fill": fill.pk, "key": key})  # the one tap
    fill.refresh_from_db()
    assert fill.held
    choosing = client.get(answer.url)
    assert "B07 · Moss" in text(choosing)
    assert "I do not know" in text(choosing)
    key = re.search(r'name="key" value="([0-9a-f-]{36})"', choosing.content.decode()).group(1)
    answer = client.post(answer.url, {"key": key, "other": other.pk})
    assert answer.status_code == 303
    other.refresh_from_db()
    assert other.held
    assert [report.by for report in Report.objects.all()] == [None, None]
    for report in Report.objects.all():
        assert report.answered_at is None  # a technician decides


def test_the_other_bucket_is_another_one_and_not_named_after_the_decision(fill, technician, member):
    report = not_the_picture(fill=fill, by=member)
    with pytest.raises(Refused, match="the bucket itself"):
        name_other_bucket(report=report, other=fill, by=member)
    other = in_use("B07", glaze="Moss")
    answer_report(report=report, answer="only the light", by=technician)
    with pytest.raises(Refused, match="decided about it already"):
        name_other_bucket(report=report, other=other, by=member)
    other.refresh_from_db()
    assert not other.held


@pytest.mark.parametrize("other", ["", "x", "999999", "-1", "1.5", "9" * 30])
def test_an_other_bucket_that_is_none_holds_nothing(client, fill, member, other):
    report = not_the_picture(fill=fill, by=member)
    client.force_login(member)
    address = reverse("name-other-bucket", args=["B05", report.pk])
    answer = client.post(address, {"key": uuid4(), "other": other})
    assert answer.status_code == 422
    assert Report.objects.count() == 1


def test_edge_47_the_printer_jams_printed_is_not_applied_and_a_serial_expires_in_24_hours(
    client, fill, technician
):
    label = printed(fill, technician, 23 * HOUR)
    assert label.state == "printed"
    client.force_login(technician)
    assert "It is on the bucket" in text(scan(client, label))
    late = printed(fill, technician, 25 * HOUR)
    answer = scan(client, late)
    assert answer.status_code == 410
    assert "never put on its bucket" in text(answer)
    assert f"/labels/?fill={fill.pk}" in answer.content.decode()
    with pytest.raises(Refused, match="has expired"):
        apply_label(label=late, by=technician)
    assert "it has expired" in text(client.get("/shelf/B05/"))
    assert "expired" in text(client.get(reverse("labels")))
    assert due_about(late) == [f"Label {late.serial} for B05: expired, it was never scanned on the bucket"]


def test_edge_47_a_reprint_is_numbered_and_makes_the_one_before_void(client, fill, technician):
    before = Label.objects.filter(on_kind="buckets.fill", on_id=fill.pk).count()  # releasing printed one
    again = [printed(fill, technician) for _ in range(2)]
    assert [label.print_number for label in again] == [before + 1, before + 2]
    again[0].refresh_from_db()
    assert again[0].state == "void"
    client.force_login(technician)
    sheet = client.get(reverse("label-sheet", args=[again[1].serial]))
    said = pypdf.PdfReader(BytesIO(sheet.content)).pages[0].extract_text()
    assert f"{['1st', '2nd', '3rd', '4th'][before + 1]} print" in " ".join(said.split())


def test_an_applied_label_never_expires_and_the_hours_are_the_rooms_rule(client, fill, technician):
    set_policy(name="label_expires_h", value=D(2), by=technician)
    label = printed(fill, technician, HOUR)
    apply_label(label=label, by=technician)
    Label.objects.filter(pk=label.pk).update(printed_at=timezone.now() - 1000 * HOUR)
    assert scan(client, label).status_code == 302
    late = printed(fill, technician, 3 * HOUR)
    assert scan(client, late).status_code == 410


def test_edge_48_a_bucket_is_emptied_before_it_is_filled_again_and_its_empty_weight_is_kept(fill, technician):
    vessel = fill.vessel
    with pytest.raises(AlreadyFull, match="Empty it first"):
        take_over_bucket(vessel=vessel, glaze="Moss", volume_l=D(3), by=technician)
    empty_fill(fill=fill, why="washed", by=technician)
    again = take_over_bucket(vessel=vessel, glaze="Moss", volume_l=D(3), by=technician)
    again.vessel.refresh_from_db()
    assert again.vessel.empty_g == vessel.empty_g == 1135
    assert not Label.objects.exclude(state="void").exists()
