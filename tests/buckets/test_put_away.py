"""A bucket with glaze in it is not put away."""

import pytest

from studio.errors import Refused
from studio.room.models import Vessel
from studio.room.operations.vessels import put_away_vessel
from tests.buckets.rows import found, pail
from tests.factories import bram


def test_a_full_bucket_stays_in_service(db):
    fill = found("B02")
    with pytest.raises(Refused, match=rf"B02 holds {fill.glaze}\. Empty it first"):
        put_away_vessel(vessel=fill.vessel, by=bram())
    assert Vessel.objects.get(code="B02").state == Vessel.State.IN_SERVICE


def test_an_empty_bucket_is_put_away(db):
    assert put_away_vessel(vessel=pail("B03"), by=bram()).state == Vessel.State.AWAY
