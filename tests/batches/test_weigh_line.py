"""A line is weighed: the ledger falls by what was weighed, the promise by the target."""

from decimal import Decimal
from uuid import uuid4

import pytest

from batches.errors import BatchNot, LineDone, OtherMaterial, OutOfBand, OverTheScale, WaterFirst
from batches.models import Batch, Weighing
from batches.operations import weighing, wet
from studio.errors import NotAllowed, Refused
from studio.materials.models import Lot, Movement
from studio.materials.operations import stock
from studio.materials.queries import reserved_for, standing
from tests.batches import glazes, making
from tests.factories import person
from tests.safety.sheet_rows import constituent, filed

pytestmark = pytest.mark.django_db


@pytest.fixture
def batch():
    return making.weighing_batch()


@pytest.fixture
def dolomite(batch):
    return batch.lines.get(name="Dolomite")  # 20 of 100 parts base of 4 000 g: 800 g, band 1 % = 8 g


def weigh(line, net_g, **more):
    more.setdefault("lot", making.lot_of(line))
    more.setdefault("by", glazes.people()[0])
    return weighing.weigh_line(line=line, net_g=Decimal(net_g), **more)


def test_a_weight_in_the_band_is_in_and_the_ledger_falls_by_it(dolomite):
    before = making.lot_of(dolomite).on_hand_g
    row = weigh(dolomite, "799", raw="net_g=799")
    dolomite.refresh_from_db()
    assert (dolomite.weighed_g, dolomite.missing_g, dolomite.off_g) == (799, 1, -1)
    assert dolomite.done_at is not None
    assert row.lot.on_hand_g == before or Lot.objects.get(pk=row.lot_id).on_hand_g == before - 799
    assert row.movement.mass_g == -799
    assert row.movement.what == f"batch {dolomite.batch.number}, line {dolomite.position}"
    assert row.raw == "net_g=799"


def test_the_promise_falls_by_the_target_not_by_what_was_weighed(dolomite):
    assert standing([dolomite.material_id])[dolomite.material_id].reserved_g == 800
    weigh(dolomite, "793")
    assert standing([dolomite.material_id])[dolomite.material_id].reserved_g == 0
    assert reserved_for(f"batch {dolomite.batch.number}").get((dolomite.material_id, "2"), 0) == 0


@pytest.mark.parametrize(
    ("net_g", "said"), [("809", "9\u00a0g over"), ("791", "9\u00a0g under"), ("1600", "800\u00a0g over")]
)
def test_out_of_the_band_is_not_accepted_and_says_by_how_much(dolomite, net_g, said):
    movements = Movement.objects.count()
    with pytest.raises(OutOfBand, match=said) as refused:
        weigh(dolomite, net_g)
    assert refused.value.field == "net_g"
    assert Movement.objects.count() == movements
    assert not Weighing.objects.filter(line=dolomite).exists()


def test_one_load_of_several_may_be_under_but_the_sum_never_over(dolomite):
    weigh(dolomite, "500", part=True)
    dolomite.refresh_from_db()
    assert dolomite.done_at is None
    assert standing([dolomite.material_id])[dolomite.material_id].reserved_g == 300
    with pytest.raises(OutOfBand):
        weigh(dolomite, "320", part=True)
    weigh(dolomite, "299")
    dolomite.refresh_from_db()
    assert dolomite.weighed_g == 799
    assert dolomite.done_at is not None


def test_a_line_may_be_weighed_from_two_lots(dolomite):
    second = stock.receive_lot(
        material=dolomite.material, code="DO-06", mass_g=Decimal(25000), price_per_kg=Decimal("0.80"),
        state="released", by=glazes.people()[0],
    )  # fmt: skip
    weigh(dolomite, "300", part=True)
    weigh(dolomite, "500", lot=second)
    assert {w.lot.code: w.net_g for w in dolomite.weighings.all()} == {"DO-05": 300, "DO-06": 500}


def test_another_material_stops_hard(dolomite, batch):
    whiting = batch.lines.get(name="Whiting")
    with pytest.raises(OtherMaterial, match="Lot WH-09 is Whiting; this line is Dolomite") as refused:
        weigh(dolomite, "800", lot=making.lot_of(whiting))
    assert refused.value.field == "lot"


def test_a_lot_in_quarantine_stops_hard(dolomite):
    kept = stock.receive_lot(
        material=dolomite.material, code="DO-07", mass_g=Decimal(25000), price_per_kg=Decimal("0.80"),
        state="quarantine", by=glazes.people()[0],
    )  # fmt: skip
    with pytest.raises(Refused, match="DO-07"):
        weigh(dolomite, "800", lot=kept)
    assert Lot.objects.get(code="DO-07").on_hand_g == 25000


def test_powder_waits_for_the_water():
    batch = weighing.start_weighing(batch=making.planned(), by=glazes.people()[0])
    with pytest.raises(WaterFirst, match="powder goes into it"):
        making.weigh_exactly(batch.lines.first())


def test_more_than_the_scale_carries_is_not_believed(dolomite):
    with pytest.raises(OverTheScale, match="Weigh in several loads"):
        weigh(dolomite, "5001", part=True)


def test_a_line_is_accepted_once(dolomite):
    weigh(dolomite, "800")
    with pytest.raises(LineDone, match="already in the bucket"):
        weigh(dolomite, "800")


def test_the_same_key_again_is_the_same_pot(dolomite):
    key = uuid4()
    lot = making.lot_of(dolomite)
    assert weigh(dolomite, "800", key=key, lot=lot) == weigh(dolomite, "800", key=key, lot=lot)
    assert Weighing.objects.filter(line=dolomite).count() == 1


def test_with_the_last_line_the_batch_is_wet(batch):
    for line in batch.lines.all():
        assert Batch.objects.get(pk=batch.pk).state == "weighing"
        making.weigh_exactly(line)
    assert Batch.objects.get(pk=batch.pk).state == "wet"


def test_a_member_does_not_weigh_and_a_helper_needs_the_sign_off(dolomite):
    with pytest.raises(NotAllowed, match="weighing sign-off"):
        weigh(dolomite, "800", by=person("Ilse"))
    with pytest.raises(NotAllowed):
        weigh(dolomite, "800", by=person("Petra", "helper"))
    filed(dolomite.material, constituent("dolomite", "100"))
    assert weigh(dolomite, "800", by=person("Yusuf", "helper", signed_off=("weighing",))).net_g == 800


def test_later_recipes_change_nothing_in_the_batch(batch, dolomite):
    dolomite.material.hazard_words = "now something else"
    dolomite.material.name = "Dolomite, renamed"
    dolomite.material.save()
    dolomite.refresh_from_db()
    assert (dolomite.name, dolomite.target_g, dolomite.hazard_words) == ("Dolomite", 800, "low")
    assert [line["name"] for line in batch.copy["lines"]][1] == "Dolomite"


def test_a_wrong_record_is_taken_back_with_its_mass_and_money(dolomite):
    lot = making.lot_of(dolomite)
    before = (lot.on_hand_g, lot.material.value, lot.material.owned_g)
    row = weigh(dolomite, "800")
    weighing.take_back_weighing(weighing=row, reason="it was whiting", by=glazes.people()[0])
    dolomite.refresh_from_db()
    lot = Lot.objects.select_related("material").get(pk=lot.pk)
    assert (lot.on_hand_g, lot.material.value, lot.material.owned_g) == before
    assert (dolomite.weighed_g, dolomite.done_at) == (0, None)
    assert standing([dolomite.material_id])[dolomite.material_id].reserved_g == 800
    assert [w.net_g for w in dolomite.weighings.all()] == [800, -800]
    with pytest.raises(Refused, match="already taken back"):
        weighing.take_back_weighing(weighing=row, reason="again", by=glazes.people()[0])


def test_taking_back_the_last_line_brings_the_batch_back_to_weighing():
    batch = making.wet_batch()
    row = Weighing.objects.filter(line__batch=batch).last()
    weighing.take_back_weighing(weighing=row, reason="typed the wrong lot", by=glazes.people()[0])
    assert Batch.objects.get(pk=batch.pk).state == "weighing"


def test_a_batch_begins_once(batch):
    with pytest.raises(BatchNot, match="only a planned batch"):
        weighing.start_weighing(batch=batch, by=glazes.people()[0])


def test_more_water_than_fits_is_refused(batch):
    batch.vessel = glazes.room()
    batch.save(update_fields=["vessel"])
    with pytest.raises(Refused, match="has room for"):
        wet.add_water(batch=batch, water_l=Decimal(18), by=glazes.people()[0])
