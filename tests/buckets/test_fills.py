"""A bucket taken over, and a bucket emptied."""

from decimal import Decimal
from uuid import uuid4

import pytest

from buckets.models import Fill
from buckets.operations.fills import empty_fill, take_over_bucket
from buckets.operations.labels import print_bucket_label
from studio.errors import NotAllowed, Refused
from studio.room.models import Vessel
from tests.buckets.rows import GANNET, found, gannet, in_use, pail

pytestmark = pytest.mark.django_db


def test_a_recipe_gives_target_window_density_and_contents(technician):
    fill = found(litres="4.2", recipe=gannet(), sg=Decimal("1.52"))
    fill.refresh_from_db()
    assert (fill.target_sg, fill.half_window) == (Decimal("1.45"), Decimal("0.02"))
    assert (fill.glaze, fill.cone, fill.state) == ("Gannet White", "6", "testing")
    assert fill.history_unknown
    assert fill.particle_density == Decimal("2.731")
    assert [entry["material"] for entry in fill.contents] == [name for name, *_ in GANNET]
    assert {"material": "Silica", "words": "quartz dust"} in fill.contents
    parent = fill.parents.get()
    # slurry.md a: C = 2.731 x 0.52 / 1.731 kg/L, times 4.2 L
    assert float(parent.dry_g) == pytest.approx(2.731 * 0.52 / 1.731 * 4200, abs=0.01)
    assert (parent.batch, parent.dry_share) == (None, Decimal(1))
    assert (fill.volume_l, fill.check_reading.sg) == (Decimal("4.2"), Decimal("1.52"))


def test_a_free_name_without_gravity_is_enough(technician):
    fill = found(glaze="Blue, old label gone", litres="3")
    assert (fill.target_sg, fill.check_reading, fill.volume_l) == (None, None, Decimal(3))
    assert fill.contents == []


def test_a_depth_gives_the_litres(technician):
    fill = take_over_bucket(vessel=pail(), glaze="Blue", depth_cm=Decimal("8"), by=technician)
    # A1: 8.0 cm in P20 are 4.24 L
    assert fill.volume_l == pytest.approx(Decimal("4.24"), abs=Decimal("0.005"))


def test_the_same_key_twice_is_one_fill(technician):
    said = {"vessel": pail(), "glaze": "Blue", "volume_l": Decimal(3), "key": uuid4()}
    assert take_over_bucket(by=technician, **said) == take_over_bucket(by=technician, **said)
    assert Fill.objects.count() == 1


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"volume_l": Decimal(3)}, "Which glaze"),
        ({"glaze": "Blue"}, "How much is in it"),
        ({"glaze": "Blue", "volume_l": Decimal(0)}, "How much is in it"),
        ({"glaze": "Blue", "volume_l": Decimal("20.4")}, "does not fit"),
        ({"glaze": "Blue", "depth_cm": Decimal("35.1")}, "deeper than the bucket"),
        ({"glaze": "Blue", "volume_l": Decimal(3), "half_window": Decimal("0.02")}, "needs its target"),
        ({"glaze": "Blue", "volume_l": Decimal(3), "sg": Decimal("2.3")}, "between 1.00 and 2.20"),
        ({"glaze": "Blue", "volume_l": Decimal(3), "target_sg": Decimal("1")}, "between 1.00 and 2.20"),
        ({"glaze": "Blue", "volume_l": Decimal(3), "colour": "url(x)"}, "six digits"),
    ],
)
def test_what_cannot_be_is_refused(technician, said, sentence):
    with pytest.raises(Refused, match=sentence):
        take_over_bucket(vessel=pail(), by=technician, **said)
    assert not Fill.objects.exists()


def test_a_bucket_that_holds_something_or_is_away_is_not_taken_over(technician):
    in_use("B02")
    with pytest.raises(Refused, match="B02 already holds Gannet White"):
        take_over_bucket(vessel=pail("B02"), glaze="Blue", volume_l=Decimal(3), by=technician)
    Vessel.objects.filter(pk=pail("B03").pk).update(state="away")
    with pytest.raises(Refused, match="B03 is put away"):
        take_over_bucket(vessel=pail("B03"), glaze="Blue", volume_l=Decimal(3), by=technician)


def test_only_a_technician_takes_over_and_empties(member, helper, technician):
    fill = in_use()
    for by in (member, helper):
        with pytest.raises(NotAllowed):
            take_over_bucket(vessel=pail("B03"), glaze="Blue", volume_l=Decimal(3), by=by)
        with pytest.raises(NotAllowed):
            empty_fill(fill=fill, why="I like it empty", by=by)


def test_an_emptied_bucket_ends_its_fill_and_voids_its_label(technician):
    fill = in_use()
    label = print_bucket_label(fill=fill, by=technician)
    empty_fill(fill=fill, why="to the waste drum", by=technician)
    fill.refresh_from_db()
    label.refresh_from_db()
    assert (fill.state, fill.emptied_why, label.state) == ("emptied", "to the waste drum", "void")
    assert fill.emptied_at is not None
    assert found("B02", glaze="Harbour Fog", litres="2").pk != fill.pk


def test_emptying_wants_a_reason_and_happens_once(technician):
    fill = in_use()
    with pytest.raises(Refused, match="Say why"):
        empty_fill(fill=fill, why=" ", by=technician)
    empty_fill(fill=fill, why="to reclaim", by=technician)
    with pytest.raises(Refused, match="was emptied"):
        empty_fill(fill=fill, why="to reclaim", by=technician)
