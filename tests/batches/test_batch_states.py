"""Pause, hold, abandon, reject: every way a batch leaves the straight road, and back."""

from decimal import Decimal

import pytest

from batches.errors import BatchNot
from batches.models import Batch
from batches.operations import batches as acts
from studio.errors import NotAllowed, Refused
from studio.materials.models import Material
from tests.batches import glazes, making
from tests.factories import person

pytestmark = pytest.mark.django_db


def bram():
    return glazes.people()[0]


def test_pausing_keeps_the_place():
    batch = making.weighing_batch()
    making.weigh_exactly(batch.lines.first())
    acts.pause_batch(batch=batch, by=bram())
    with pytest.raises(BatchNot, match="is paused"):
        making.weigh_exactly(batch.lines.get(position=2))
    acts.resume_batch(batch=batch, by=bram())
    making.weigh_exactly(batch.lines.get(position=2))
    assert [line.done_at is not None for line in batch.lines.all()][:3] == [True, True, False]


def test_lifting_a_hold_returns_to_the_state_before():
    batch = making.wet_batch()
    acts.hold_batch(batch=batch, reason="wrong colour", by=bram())
    assert Batch.objects.get(pk=batch.pk).held
    with pytest.raises(Refused, match="what was decided"):
        acts.lift_batch(batch=batch, decision=" ", by=bram())
    acts.lift_batch(batch=batch, decision="tile was good", by=bram())
    after = Batch.objects.get(pk=batch.pk)
    assert (after.held, after.state) == (False, "wet")


def test_a_helper_may_hold_but_not_lift():
    batch = making.weighing_batch()
    yusuf = person("Yusuf", "helper", signed_off=("weighing",))
    acts.hold_batch(batch=batch, reason="unsure", by=yusuf)
    with pytest.raises(NotAllowed):
        acts.lift_batch(batch=batch, decision="fine", by=yusuf)


def test_abandoning_frees_what_is_promised_and_keeps_what_was_weighed():
    batch = making.weighing_batch()
    line = batch.lines.first()
    making.weigh_exactly(line)
    owned = Material.objects.get(pk=line.material_id).owned_g
    acts.abandon_batch(batch=batch, reason="the pail leaked", by=bram())
    assert set(Material.objects.values_list("reserved_g", flat=True)) == {Decimal(0)}
    assert Material.objects.get(pk=line.material_id).owned_g == owned
    assert Batch.objects.get(pk=batch.pk).state == "abandoned"
    with pytest.raises(BatchNot):
        acts.hold_batch(batch=batch, reason="too late", by=bram())


def test_a_batch_is_released_only_from_testing():
    batch = making.measured_batch()
    with pytest.raises(BatchNot, match="only a batch in testing"):
        acts.release_batch(batch=batch, by=bram())
    acts.poured(batch=batch, by=bram())
    acts.release_batch(batch=batch, by=bram())
    assert Batch.objects.get(pk=batch.pk).state == "released"


def test_rejecting_needs_a_reason_and_a_technician():
    batch = making.measured_batch()
    with pytest.raises(Refused, match="what failed"):
        acts.reject_batch(batch=batch, reason="", by=bram())
    with pytest.raises(NotAllowed):
        acts.reject_batch(batch=batch, reason="x", by=person("Ilse"))
    acts.reject_batch(batch=batch, reason="tile crawled", by=bram())
    assert Batch.objects.get(pk=batch.pk).state == "rejected"


def test_a_number_never_begins_with_b_and_counts_up():
    one, two = making.planned(), making.planned(version=glazes.gannet_white())
    assert one.number[2] == "-"
    assert one.number[0].isdigit()
    assert int(two.number[3:]) == int(one.number[3:]) + 1
