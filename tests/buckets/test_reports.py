"""Something is wrong with it: held at once, answered by a technician."""

import pytest
from django.utils import timezone

from buckets.models import Report
from buckets.operations.fills import empty_fill
from buckets.operations.reports import answer_report, report
from buckets.queries import dip_check_of, fill_in
from studio.errors import NotAllowed, Refused
from studio.room import policy
from tests.buckets.rows import in_use

pytestmark = pytest.mark.django_db


def test_a_strangers_report_holds_the_bucket_at_once(technician):
    fill = in_use()
    row = report(fill=fill, words="blue specks")
    fill.refresh_from_db()
    assert (row.by, fill.held, fill.held_reason) == (None, True, "reported: “blue specks”")
    check = dip_check_of(fill_in("B02"), timezone.now(), policy.in_force())
    assert (check.answer, check.reasons[0].code) == ("do not use", "held")


def test_a_long_report_is_kept_whole_and_the_reason_is_cut(technician, member):
    fill = in_use()
    words = "specks " * 57
    row = report(fill=fill, words=words, by=member)
    fill.refresh_from_db()
    assert row.words == words.strip()
    assert len(fill.held_reason) == 200
    assert fill.held_reason.endswith("…”")


def test_an_empty_report_holds_nothing(technician):
    fill = in_use()
    with pytest.raises(Refused, match="what looks wrong"):
        report(fill=fill, words="  ")
    fill.refresh_from_db()
    assert not fill.held


def test_answering_with_lift_returns_the_state_before(technician, member):
    fill = in_use()
    row = report(fill=fill, words="blue specks", by=member)
    answer_report(report=row, answer="sieved, tile good", decision="put right", by=technician)
    fill.refresh_from_db()
    row.refresh_from_db()
    assert (fill.held, fill.state) == (False, "in use")
    assert (row.answer, row.answered_by) == ("sieved, tile good", technician)


def test_the_hold_stays_while_another_report_waits(technician, member):
    fill = in_use()
    first, second = report(fill=fill, words="specks", by=member), report(fill=fill, words="smells")
    with pytest.raises(Refused, match="smells"):
        answer_report(report=first, answer="only sand", decision="put right", by=technician)
    assert not Report.objects.exclude(answered_at=None).exists()
    answer_report(report=first, answer="only sand", by=technician)
    answer_report(report=second, answer="stirred, gone", decision="put right", by=technician)
    fill.refresh_from_db()
    assert not fill.held


def test_a_member_answers_no_report_and_nobody_answers_twice(technician, member):
    row = report(fill=in_use(), words="specks", by=member)
    with pytest.raises(NotAllowed):
        answer_report(report=row, answer="fine", by=member)
    answer_report(report=row, answer="fine", by=technician)
    with pytest.raises(Refused, match="answered already"):
        answer_report(report=row, answer="fine again", by=technician)


def test_a_report_on_an_emptied_bucket_can_still_be_answered(technician):
    fill = in_use()
    row = report(fill=fill, words="specks")
    empty_fill(fill=fill, why="contaminated", by=technician)
    assert answer_report(report=row, answer="thrown away", by=technician).answered_at
