"""A bucket is emptied: what it held, what that was worth, and where it went."""

import html
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db.models import Sum

from buckets.models import Care, Fill, WriteOff
from buckets.operations import care, powder
from buckets.operations.fills import empty_fill
from buckets.operations.holding import release_fill
from buckets.operations.readings import record_reading
from buckets.operations.reclaim import begin_reclaim
from buckets.worth import left_in
from studio.errors import Refused
from studio.quantities import rounded
from tests.api.asking import program
from tests.buckets import restock
from tests.buckets.rows import in_use, pail
from tests.factories import BatchFactory, VersionFactory

pytestmark = pytest.mark.django_db
D = Decimal


def from_batch() -> tuple[Fill, Decimal, Decimal]:
    """A fill poured from one batch, with the grams weighed into it and what they cost."""
    batch = BatchFactory(state="released")
    fill = Fill.objects.select_related("vessel", "check_reading").get(vessel=batch.vessel, emptied_at=None)
    cost = -batch.lines.aggregate(c=Sum("weighings__movement__cost"))["c"]
    return fill, batch.lines.aggregate(g=Sum("weighed_g"))["g"], cost


def test_a_full_bucket_of_one_batch_is_worth_what_its_powders_left_the_store_with():
    fill, weighed_g, cost = from_batch()
    left = left_in(fill)
    assert left.known_share == 1
    # the reading tells the dry mass, the batch the cost of a gram of it
    assert left.value == pytest.approx(cost * left.dry_g / weighed_g, abs=D("0.0001"))
    assert left.dry_g == pytest.approx(weighed_g, rel=D("0.01"))


def test_what_was_used_takes_its_share_of_the_worth_with_it(technician):
    fill, _, _ = from_batch()
    before = left_in(fill)
    care.log_use(fill=fill, volume_l=rounded(fill.volume_l / 2, 3), by=technician)
    after = left_in(Fill.objects.get(pk=fill.pk))
    assert after.value == pytest.approx(before.value / 2, rel=D("0.001"))
    assert after.dry_g == pytest.approx(before.dry_g / 2, rel=D("0.001"))


def test_water_makes_more_litres_of_the_same_worth(technician):
    fill, _, _ = from_batch()
    before = left_in(fill)
    care.water_in(fill=fill, volume_l=D("0.5"), by=technician)
    after = left_in(Fill.objects.get(pk=fill.pk))
    assert after.volume_l == before.volume_l + D("0.5")
    assert after.value == pytest.approx(before.value, rel=D("0.001"))


def test_half_of_a_bucket_found_is_worth_what_is_known_of_the_other_half(technician):
    fill = restock.b02()
    release_fill(fill=fill, by=technician)
    new = restock.poured(fill)
    left = left_in(Fill.objects.select_related("vessel", "check_reading").get(pk=new.pk))
    # A10: 32.4 % of the dry mass was in the bucket before, history unknown
    assert left.known_share == pytest.approx(D("0.676"), abs=D("0.001"))
    assert left.value > 0


def test_of_what_was_found_no_worth_is_known(technician):
    fill = in_use("B04", litres="8.1", recipe=VersionFactory().recipe, sg=D("1.418"))
    left = left_in(fill)
    # day_in_the_room.md E4: 8.10 L at 1.418 and 2.649 hold 5.439 kg (5.623 less 0.184 of another glaze)
    assert left.dry_g == pytest.approx(D(5439), abs=D(1))
    assert (left.value, left.known_share) == (None, 0)


def test_powder_out_of_lots_counts_with_its_cost_and_powder_made_up_before_without(technician):
    fill, _, _ = from_batch()
    powder.powder_in(fill=fill, mass_g=D(400), by=technician)
    left = left_in(Fill.objects.get(pk=fill.pk))
    assert left.known_share < 1
    assert left.value > 0


def test_without_a_reading_neither_dry_mass_nor_worth_is_known(technician):
    left = left_in(in_use("B04", litres="8", glaze="Old blue"))
    assert (left.volume_l, left.dry_g, left.value) == (D(8), None, None)


def test_emptying_writes_what_was_shown(technician):
    fill, _, _ = from_batch()
    shown = left_in(fill)
    empty_fill(fill=fill, why="nobody dips it", went="waste", by=technician)
    row = WriteOff.objects.get(fill=fill)
    assert (row.volume_l, row.dry_g, row.value) == (shown.volume_l, shown.dry_g, shown.value)
    assert (row.went, row.by) == ("waste", technician)
    assert Fill.objects.get(pk=fill.pk).emptied_why == "nobody dips it"


def test_what_went_into_reclaim_is_poured_in_there_by_the_same_act(technician):
    fill, _, _ = from_batch()
    reclaim = begin_reclaim(vessel=pail("B12"), volume_l=D(2), by=technician)
    litres = fill.volume_l
    empty_fill(fill=fill, why="settles", went="reclaim", into=reclaim, by=technician)
    reclaim.refresh_from_db()
    row = Care.objects.get(fill=reclaim)
    assert reclaim.volume_l == D(2) + litres
    assert row.note == f"{fill.vessel.code} {fill.glaze}, fill {fill.number}"
    assert row.change_g == pytest.approx(litres * fill.check_reading.sg * 1000, rel=D("0.001"))
    assert {entry["material"] for entry in fill.contents} <= {e["material"] for e in reclaim.contents}


@pytest.mark.parametrize(
    ("went", "sentence"),
    [("waste", "Both were said"), ("sink", "Where did the glaze go"), ("", "Choose one")],
)
def test_where_it_went_must_be_one_place(technician, went, sentence):
    fill = in_use("B04", litres="3", glaze="Old blue")
    reclaim = begin_reclaim(vessel=pail("B12"), volume_l=D(2), by=technician)
    with pytest.raises(Refused, match=sentence):
        empty_fill(fill=fill, why="old", went=went, into=reclaim, by=technician)
    assert not WriteOff.objects.exists()


def test_what_does_not_fit_into_the_reclaim_bucket_stays_where_it_is(technician):
    fill = in_use("B04", litres="8", glaze="Old blue")
    reclaim = begin_reclaim(vessel=pail("B12"), volume_l=D(12), by=technician)
    with pytest.raises(Refused, match=r"does not fit|is filled to"):
        empty_fill(fill=fill, why="old", went="reclaim", into=reclaim, by=technician)
    fill.refresh_from_db()
    assert fill.emptied_at is None
    assert not WriteOff.objects.exists()


def test_into_itself_into_no_reclaim_and_into_an_emptied_one_is_refused(technician):
    fill = in_use("B04", litres="3", glaze="Old blue")
    other = in_use("B05", litres="3", glaze="Old green")
    gone = begin_reclaim(vessel=pail("B12"), volume_l=D(2), by=technician)
    empty_fill(fill=gone, why="full", by=technician)
    for into, sentence in ((fill, "into itself"), (other, "no reclaim bucket"), (gone, "no reclaim bucket")):
        with pytest.raises(Refused, match=sentence):
            empty_fill(fill=fill, why="old", went="reclaim", into=into, by=technician)


def test_the_page_shows_it_before_it_is_done_and_warns_of_the_sink(client, technician):
    fill, _, _ = from_batch()
    client.force_login(technician)
    page = html.unescape(client.get(f"/shelf/{fill.vessel.code}/empty/").content.decode())
    left = left_in(fill)
    assert "What is written off" in page
    assert f"{left.value:.2f}" in page
    assert "Never down the sink" in page
    assert "local rules" in page
    answer = client.post(
        f"/shelf/{fill.vessel.code}/empty/",
        {"fill": fill.pk, "key": uuid4(), "went": "waste", "why": "nobody dips it"},
    )
    assert answer.status_code == 303
    assert WriteOff.objects.get().value == left.value


def test_the_page_says_when_a_cost_is_not_on_record(client, technician):
    in_use("B04", litres="8", glaze="Old blue")
    client.force_login(technician)
    page = client.get("/shelf/B04/empty/").content.decode()
    assert "What its powder cost is not on record" in page


def test_a_reading_taken_after_more_water_counts_instead(technician):
    fill, _, _ = from_batch()
    care.water_in(fill=fill, volume_l=D("0.5"), by=technician)
    record_reading(fill=fill, sg=D("1.30"), volume_l=D(5), by=technician)
    left = left_in(Fill.objects.get(pk=fill.pk))
    assert left.volume_l == D(5)


def test_the_api_tells_what_is_left_and_afterwards_what_was_written_off(technician):
    fill, _, _ = from_batch()
    ask = program(technician)
    left = ask.told(f"fills/{fill.pk}/left/")
    assert Decimal(left["value"]) == left_in(fill).value
    assert ask.told(f"fills/{fill.pk}/")["write_off"] is None
    assert ask.post(f"fills/{fill.pk}/empty-fill/", {"why": "old", "went": "waste"}).status_code == 201
    told = ask.told(f"fills/{fill.pk}/")["write_off"]
    assert (told["went"], told["value"], told["dry_g"]) == ("waste", left["value"], left["dry_g"])
