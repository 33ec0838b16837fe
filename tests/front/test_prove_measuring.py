"""Books of what was measured: found good after the acts, and each row that was tampered with named."""

from contextlib import contextmanager
from decimal import Decimal

import pytest
from django.db import transaction

from buckets.models import Density, Fill, Flow, Reading
from buckets.operations.readings import record_reading
from studio import triggers
from studio.front import proof
from studio.room.models import Glass
from studio.room.operations.calibration import calibrate_glass
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def fill():
    """Two flows, one marked; powder measured; a reading repeated; a glass weighed with water."""
    bram, row = factories.bram(), factories.FillFactory()
    factories.FlowFactory(fill=row, is_reference=True)
    factories.FlowFactory(fill=row)
    factories.DensityFactory(fill=row)
    first = record_reading(fill=row, sg=Decimal("1.44"), by=bram)
    record_reading(fill=row, sg=Decimal("1.442"), repeats=first, by=bram)
    calibrate_glass(
        glass=factories.GlassFactory(),
        scale=factories.ScaleFactory(name="Fine scale"),
        empty_g=Decimal("65.7"),
        full_g=Decimal("165.3"),
        temperature_c=Decimal(20),
        reading_ml=Decimal("0.1"),
        by=bram,
    )
    assert proof.problems() == []
    return row


@contextmanager
def tampered():
    """Whatever is done inside is undone, history too."""
    with triggers.lifted(), transaction.atomic():
        yield
        transaction.set_rollback(True)


TAMPERING = [
    ("carries flow_id", lambda fill: Fill.objects.filter(pk=fill.pk).update(flow=None)),
    (
        "carries flow_reference_id",
        lambda fill: Fill.objects.filter(pk=fill.pk).update(flow_reference=Flow.objects.latest("id")),
    ),
    (
        "replaces flow",
        lambda fill: Flow.objects.filter(pk=Flow.objects.latest("id").pk).update(
            replaces=Flow.objects.earliest("id"), cup=factories.FlowCupFactory(name="Another")
        ),
    ),
    ("counts with powder of", lambda fill: Fill.objects.filter(pk=fill.pk).update(particle_density="2.7")),
    ("counts with powder of", lambda fill: Density.objects.update(particle_density="2.6")),
    ("repeats reading", lambda fill: Reading.objects.filter(repeats=None).update(is_check=False)),
    ("water said 99.779", lambda fill: Glass.objects.update(volume_ml="101")),
]


@pytest.mark.parametrize(("named", "tamper"), TAMPERING)
def test_each_is_named(fill, named, tamper):
    with tampered():
        tamper(fill)
        assert named in " ".join(str(problem) for problem in proof.problems())
    assert proof.problems() == []
