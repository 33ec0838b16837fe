"""The factories give the rows they promise, in every state, by way of the acts."""

import pytest

from batches.models import Batch
from buckets.models import Fill
from studio.people.models import Entry
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("state", sorted(factories.WAYS))
def test_a_batch_in_every_state(state):
    batch = factories.BatchFactory(state=state)
    assert batch == Batch.objects.get()
    assert batch.state == {"held": "weighing", "measured": "wet"}.get(state, state)
    assert batch.held == (state == "held")
    assert Entry.objects.filter(act="request approved").count() == 1


def test_every_state_of_a_batch_can_be_had():
    assert set(Batch.State.values) <= set(factories.WAYS)


@pytest.mark.parametrize("state", ["testing", "in use", "held", "emptied"])
def test_a_fill_in_every_state(state):
    fill = factories.FillFactory(state=state)
    assert fill == Fill.objects.get()
    assert (fill.state, fill.held) == {"held": ("testing", True)}.get(state, (state, False))


def test_rows_of_the_room_are_made_once():
    assert factories.VesselFactory(code="B05") == factories.VesselFactory(code="B05")
    assert factories.ScaleFactory() == factories.ScaleFactory()
    assert factories.GlassFactory() == factories.GlassFactory()
    assert factories.MaterialFactory() == factories.MaterialFactory()
    assert factories.VesselFactory() != factories.VesselFactory()


def test_the_rest():
    assert factories.LotFactory().on_hand_g == 10000
    assert factories.VersionFactory(approved=False).state == "draft"
    version = factories.VersionFactory()
    assert (version.state, version.recipe.current) == ("approved", version)
    label = factories.LabelFactory()
    assert (label.state, label.purpose) == ("printed", "bucket")
