"""Water, sieve, weighing the bucket, readings, and the way to the target."""

from decimal import Decimal
from uuid import uuid4

import pytest

from batches import standing
from batches.errors import BatchNot
from batches.models import Batch, Step
from batches.operations import wet
from batches.operations.batches import hold_batch
from safety.models import Label
from studio.errors import NotAllowed, Refused
from studio.room.models import Vessel
from tests.batches import glazes, making
from tests.factories import person

pytestmark = pytest.mark.django_db


def bram():
    return glazes.people()[0]


def test_the_first_water_prints_the_working_label():
    batch = making.weighing_batch()
    label = Label.objects.get(on_kind="batches.batch", on_id=batch.pk)
    assert (label.purpose, label.state) == ("working", "printed")
    assert label.content["batch"] == batch.number
    assert label.content["state"] == "slaking, do not dip"
    assert {"material": "Potash feldspar", "words": "silica dust"} in label.content["contents"]


def test_more_water_prints_no_second_label():
    batch = making.weighing_batch()
    wet.add_water(batch=batch, water_l=Decimal("0.2"), by=bram())
    assert Label.objects.count() == 1


def test_the_same_water_sent_twice_is_in_once():
    batch, key = making.weighing_batch(), uuid4()
    first = wet.add_water(batch=batch, water_l=Decimal("0.2"), by=bram(), key=key)
    assert wet.add_water(batch=batch, water_l=Decimal("0.2"), by=bram(), key=key) == first
    assert len(making.steps(batch, "water")) == 2


def test_a_slurry_is_between_water_and_powder():
    batch = making.wet_batch()
    for sg in ("1", "0.9", "2.7", "9"):
        with pytest.raises(Refused, match="between water"):
            wet.record_batch_reading(batch=batch, sg=Decimal(sg), by=bram())
    assert not making.steps(batch, "reading")


def test_a_depth_becomes_litres_by_the_cone_of_the_bucket():
    batch = making.wet_batch()
    with pytest.raises(Refused, match="no bucket yet"):
        wet.record_batch_reading(batch=batch, sg=Decimal("1.5"), depth_cm=Decimal(8), by=bram())
    batch.vessel = Vessel.objects.get(pk=glazes.room().pk)
    batch.save(update_fields=["vessel"])
    step = wet.record_batch_reading(batch=batch, sg=Decimal("1.5"), depth_cm=Decimal(8), by=bram())
    assert step.volume_l == pytest.approx(Decimal("4.24"), abs=Decimal("0.01"))  # scenario A step 1
    with pytest.raises(Refused, match="35 cm deep"):
        wet.record_batch_reading(batch=batch, sg=Decimal("1.5"), depth_cm=Decimal(40), by=bram())


def test_the_reading_asks_for_water_all_of_it_and_85_percent_first():
    """Scenario A step 7: 14.05 L at 1.484 to 1.45 is 1.062 L, 0.902 L first."""
    batch = making.wet_batch()
    batch.to_sg = Decimal("1.45")
    batch.save(update_fields=["to_sg"])
    wet.record_batch_reading(batch=batch, sg=Decimal("1.484"), volume_l=Decimal("14.05"), by=bram())
    offer = standing.to_target(batch, standing.standing(batch))
    assert offer.water_l == pytest.approx(Decimal("1.062"), abs=Decimal("0.001"))
    assert offer.first_l == pytest.approx(Decimal("0.902"), abs=Decimal("0.001"))


def test_nothing_is_offered_when_it_is_not_too_thick():
    batch = making.measured_batch(sg="1.46")
    assert standing.to_target(batch, standing.standing(batch)) is None


def test_what_went_in_says_litres_gravity_and_weight():
    batch = making.wet_batch()
    batch.vessel = Vessel.objects.get(pk=glazes.room().pk)
    batch.save(update_fields=["vessel"])
    now = standing.standing(batch)
    volume = now.weighed_g / 1000 / batch.particle_density + now.water_l
    assert now.volume_l == pytest.approx(volume, abs=Decimal("0.001"))
    assert now.sg == pytest.approx((now.weighed_g / 1000 + now.water_l) / volume, abs=Decimal("0.0002"))
    assert now.gross_g == round(batch.vessel.empty_g + now.weighed_g + now.water_l * 1000)
    wet.weigh_bucket(batch=batch, gross_g=now.gross_g, by=bram())
    assert standing.standing(batch).yield_pct == pytest.approx(Decimal(100), abs=Decimal("0.1"))


def test_a_bucket_does_not_weigh_less_than_empty():
    batch = making.wet_batch()
    batch.vessel = Vessel.objects.get(pk=glazes.room().pk)
    batch.save(update_fields=["vessel"])
    with pytest.raises(Refused, match=r"alone weighs 1\.135 kg"):
        wet.weigh_bucket(batch=batch, gross_g=Decimal(900), by=bram())


def test_a_step_taken_back_counts_no_more_but_stays_readable():
    batch = making.weighing_batch()
    step = wet.add_water(batch=batch, water_l=Decimal(2), by=bram())
    before = standing.standing(batch).water_l
    wet.take_back_step(step=step, reason="typed twice", by=bram())
    assert standing.standing(batch).water_l == before - 2
    assert Step.objects.filter(pk=step.pk, water_l=2).exists()
    with pytest.raises(Refused, match="already taken back"):
        wet.take_back_step(step=step, reason="again", by=bram())


def test_it_is_sieved_and_measured_only_when_all_is_in():
    batch = making.weighing_batch()
    for act, told in ((wet.sieve_batch, {"mesh": 80}), (wet.record_batch_reading, {"sg": Decimal("1.5")})):
        with pytest.raises(BatchNot, match="when everything is in"):
            act(batch=batch, by=bram(), **told)


def test_who_may_not_mix_wet_is_refused():
    batch = making.weighing_batch()
    for who in (
        person("Ilse"),
        person("Petra", "helper"),
        person("Yusuf", "helper", signed_off=("weighing",)),
    ):
        with pytest.raises(NotAllowed, match="wet mixing"):
            wet.add_water(batch=batch, water_l=Decimal("0.1"), by=who)
    assert len(making.steps(batch, "water")) == 1


def test_a_held_batch_takes_nothing():
    batch = making.wet_batch()
    hold_batch(batch=batch, reason="smells of vinegar", by=bram())
    with pytest.raises(BatchNot, match="smells of vinegar"):
        wet.add_water(batch=Batch.objects.get(pk=batch.pk), water_l=Decimal("0.1"), by=bram())
