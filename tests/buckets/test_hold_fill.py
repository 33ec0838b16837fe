"""A bucket is held and lifted with a decision."""

from uuid import uuid4

import pytest
from django.urls import reverse

from buckets.errors import FillEmptied
from buckets.models import Fill
from buckets.operations.fills import empty_fill
from buckets.operations.holding import hold_fill, lift_hold, release_fill
from buckets.operations.reports import answer_report, report
from studio.errors import NotAllowed, Refused
from tests.buckets import restock

pytestmark = pytest.mark.django_db


def fresh(fill: Fill) -> Fill:
    return Fill.objects.get(pk=fill.pk)


@pytest.mark.parametrize("in_use", [True, False])
def test_lifting_returns_to_the_state_before(technician, in_use):
    fill = restock.b02()
    if in_use:
        release_fill(fill=fill, by=technician)
    state = fresh(fill).state
    held = hold_fill(fill=fill, reason="smells", by=technician)
    assert (held.held, held.held_reason, held.state) == (True, "smells", state)
    lifted = lift_hold(fill=fill, decision="only the lid", by=technician)
    assert (lifted.held, lifted.held_reason, lifted.state) == (False, "", state)


def test_a_hold_needs_a_reason_and_lifting_a_decision(technician):
    fill = restock.b02()
    with pytest.raises(Refused, match="Say why"):
        hold_fill(fill=fill, reason=" ", by=technician)
    hold_fill(fill=fill, reason="smells", by=technician)
    with pytest.raises(Refused, match="Say what was found"):
        lift_hold(fill=fill, decision="", by=technician)


def test_it_is_held_once_and_lifted_once(technician):
    fill = restock.b02()
    with pytest.raises(Refused, match="is not held"):
        lift_hold(fill=fill, decision="fine", by=technician)
    hold_fill(fill=fill, reason="smells", by=technician)
    with pytest.raises(Refused, match="held already: smells"):
        hold_fill(fill=fill, reason="smells more", by=technician)


def test_an_open_report_keeps_it_held(technician):
    fill = restock.b02()
    row = report(fill=fill, words="blue specks")
    with pytest.raises(Refused, match="blue specks"):
        lift_hold(fill=fill, decision="fine", by=technician)
    answer_report(report=row, answer="sieved", by=technician)
    assert not lift_hold(fill=fill, decision="tile is good", by=technician).held


def test_lifting_another_hold_leaves_the_one_of_the_batch(technician):
    fill = restock.b02()
    batch = restock.begun(fill)
    held = fresh(fill)
    held.held_reason = "reported: “a smell”"
    held.save()
    lift_hold(fill=held, decision="it was the drain", by=technician)
    assert f"as batch {batch.number}" in fresh(fill).held_reason


def test_an_emptied_fill_is_not_held(technician):
    fill = restock.b02()
    empty_fill(fill=fill, why="to reclaim", by=technician)
    with pytest.raises(FillEmptied):
        hold_fill(fill=fill, reason="smells", by=technician)


def test_only_a_technician_holds_and_lifts(member, helper, technician):
    fill = restock.b02()
    for by in (member, helper):
        with pytest.raises(NotAllowed):
            hold_fill(fill=fill, reason="smells", by=by)
    hold_fill(fill=fill, reason="smells", by=technician)
    for by in (member, helper):
        with pytest.raises(NotAllowed):
            lift_hold(fill=fill, decision="fine", by=by)


def test_the_pages_hold_lift_and_release(client, technician):
    fill = restock.b02()
    client.force_login(technician)

    def post(name, **sent):
        answer = client.post(reverse(name, args=["B02"]), {"key": uuid4(), "fill": fill.pk} | sent)
        assert answer.status_code == 303, name

    post("hold-fill", reason="smells")
    assert fresh(fill).held
    post("lift-hold", decision="only the lid")
    post("release-fill")
    assert (fresh(fill).state, fresh(fill).held) == ("in use", False)
