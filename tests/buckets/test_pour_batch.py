"""A batch is poured: a new fill with its parents. Numbers: scenario A10 of "day_in_the_room.md"."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from batches.models import Batch, Request
from buckets.errors import AlreadyFull
from buckets.models import Fill
from buckets.operations.fills import take_over_bucket
from buckets.operations.holding import release_fill
from buckets.operations.pouring import pour_batch
from buckets.operations.reports import report
from safety.models import Label
from studio.errors import NotAllowed, Refused
from studio.room.operations.vessels import put_away_vessel
from tests.batches import glazes, making
from tests.batches.words import words_of
from tests.buckets import restock
from tests.factories import VesselFactory

pytestmark = pytest.mark.django_db
D = Decimal


def in_force(row) -> list[Label]:
    return list(Label.objects.filter(on_kind=row._meta.label_lower, on_id=row.pk).exclude(state="void"))


def test_pouring_makes_a_fill_in_testing_with_both_parents():
    old = restock.b02()
    fill = restock.poured(old)

    assert (fill.glaze, fill.vessel.code, fill.state) == ("Gannet White", "B02", "testing")
    assert (fill.target_sg, fill.half_window, fill.particle_density) == (D("1.45"), D("0.02"), D("2.731"))
    of_batch, of_old = fill.parents.order_by("pk")
    assert of_batch.batch.state == "testing"
    assert of_old.parent_fill == old
    assert of_batch.dry_g == 7204  # A4: the weighed sum
    assert of_old.dry_share == pytest.approx(D("0.324"), abs=D("0.0005"))  # A10: 32.4 %
    assert of_batch.dry_share + of_old.dry_share == 1


def test_the_old_fill_ends_and_its_label_is_void():
    old = restock.b02()
    (label,) = in_force(old)
    fill = restock.poured(old)
    old.refresh_from_db()
    label.refresh_from_db()
    assert (old.state, old.emptied_at) == ("emptied", fill.poured_at)
    assert label.state == "void"
    assert "poured on as batch" in label.void_reason


def test_the_new_label_says_testing_and_the_working_label_is_void():
    fill = restock.poured(restock.b02())
    (label,) = in_force(fill)
    assert label.purpose == "bucket"
    assert label.content["state"] == "testing"
    assert label.vessel_code == "B02"
    batch = Batch.objects.get()
    assert in_force(batch) == []
    assert Label.objects.filter(on_id=batch.pk, purpose="working").exists()


def test_the_last_reading_of_the_batch_is_the_first_of_the_fill(technician):
    fill = restock.poured(restock.b02())
    reading = fill.readings.get()
    assert (reading.sg, reading.u_sg, reading.volume_l) == (D("1.451"), D("0.00425"), D("15.15"))
    assert (reading.by, reading.is_check) == (technician, True)
    fill.refresh_from_db()
    assert fill.check_reading == reading
    assert fill.volume_l == D("15.15")


def test_the_level_may_be_told_once_more():
    old = restock.b02()
    batch = restock.measured(old)
    fill = pour_batch(batch=batch, vessel=old.vessel, volume_l=D("14.9"), by=glazes.people()[0])
    fill.refresh_from_db()
    assert fill.volume_l == D("14.9")


def test_the_request_is_made():
    restock.poured(restock.b02())
    assert Request.objects.get().state == "made"


def test_contents_are_those_of_both_with_every_word():
    version = glazes.gannet_white()
    old = restock.b02(version)
    old.contents = [
        {"material": "Kaolin", "words": "silica dust, wet floor"},
        {"material": "Lead bisilicate", "words": "toxic"},
    ]
    old.save()
    fill = restock.poured(old)
    words = {entry["material"]: entry["words"] for entry in fill.contents}
    assert words["Kaolin"] == "silica dust, wet floor"
    assert words["Lead bisilicate"] == "toxic"
    assert words["Zirconium silicate"] == "dust"
    assert len(words) == 7


def test_unknown_history_and_dissolving_stay_known():
    old = restock.b02()
    old.soluble = True
    old.save()
    fill = restock.poured(old)
    assert fill.history_unknown  # B02 was taken over
    assert fill.soluble


def test_a_batch_for_a_clean_bucket_has_one_parent(technician):
    vessel = VesselFactory(code="B11")
    batch = making.measured_batch()
    fill = pour_batch(batch=batch, vessel=vessel, by=technician)
    (parent,) = fill.parents.all()
    assert (parent.batch, parent.dry_share, fill.history_unknown) == (batch, 1, False)
    assert fill.volume_l == D("5.1")


def test_the_same_key_pours_once(technician):
    old = restock.b02()
    batch, key = restock.measured(old), uuid4()
    first = pour_batch(batch=batch, vessel=old.vessel, by=technician, key=key)
    assert pour_batch(batch=batch, vessel=old.vessel, by=technician, key=key) == first
    assert Fill.objects.filter(emptied_at=None).count() == 1


def test_nothing_is_poured_onto_another_glaze(technician):
    vessel = VesselFactory(code="B11")
    take_over_bucket(vessel=vessel, glaze="Plum", volume_l=D(3), by=technician)
    batch = making.measured_batch()
    with pytest.raises(AlreadyFull, match="B11 already holds Plum"):
        pour_batch(batch=batch, vessel=vessel, by=technician)
    batch.refresh_from_db()
    assert batch.state == "wet"


def test_glaze_that_was_brought_up_may_move_to_a_clean_bucket(technician):
    old = restock.b02()
    fill = restock.poured(old, VesselFactory(code="B11"))
    old.refresh_from_db()
    assert (fill.vessel.code, old.state) == ("B11", "emptied")
    assert fill.parents.filter(parent_fill=old).exists()


def test_a_bucket_put_away_takes_nothing(technician):
    vessel = VesselFactory(code="B11")
    put_away_vessel(vessel=vessel, by=technician)
    vessel.refresh_from_db()
    with pytest.raises(Refused, match="B11 is put away"):
        pour_batch(batch=making.measured_batch(), vessel=vessel, by=technician)


def test_without_a_reading_nothing_is_poured(technician):
    batch = making.wet_batch()
    with pytest.raises(Refused, match=r"[Rr]eading"):
        pour_batch(batch=batch, vessel=VesselFactory(code="B11"), by=technician)
    batch.refresh_from_db()
    assert batch.state == "wet"


def test_a_reported_bucket_is_decided_about_first(technician):
    old = restock.b02()
    batch = restock.measured(old)
    report(fill=old, words="blue specks")
    with pytest.raises(Refused, match="blue specks"):
        pour_batch(batch=batch, vessel=old.vessel, by=technician)
    old.refresh_from_db()
    assert old.emptied_at is None


def test_more_than_the_brim_is_not_poured(technician):
    old = restock.b02()
    batch = restock.measured(old)
    with pytest.raises(Refused, match="does not fit"):
        pour_batch(batch=batch, vessel=old.vessel, volume_l=D(21), by=technician)


def test_a_helper_can_not_pour(helper):
    old = restock.b02()
    with pytest.raises(NotAllowed):
        pour_batch(batch=restock.measured(old), vessel=old.vessel, by=helper)


# --- released


def test_releasing_puts_fill_and_batch_into_use_and_prints_a_label_without_testing(technician):
    fill = restock.poured(restock.b02())
    (testing,) = in_force(fill)
    fill = release_fill(fill=fill, by=technician)

    assert fill.state == "in use"
    assert Batch.objects.get().state == "released"
    testing.refresh_from_db()
    (label,) = in_force(fill)
    assert testing.state == "void"
    assert label.content["state"] == "in use"


def test_a_fill_of_a_rejected_batch_is_not_released(technician):
    from batches.operations.batches import reject_batch

    fill = restock.poured(restock.b02())
    reject_batch(batch=Batch.objects.get(), reason="tile crawled", by=technician)
    with pytest.raises(Refused, match="rejected"):
        release_fill(fill=fill, by=technician)


def test_a_held_fill_is_not_released(technician):
    fill = restock.poured(restock.b02())
    report(fill=fill, words="specks")
    with pytest.raises(Refused, match="Lift the hold"):
        release_fill(fill=fill, by=technician)


def test_a_fill_is_released_once(technician):
    fill = release_fill(fill=restock.poured(restock.b02()), by=technician)
    with pytest.raises(Refused, match="in use already"):
        release_fill(fill=fill, by=technician)


def test_a_member_can_not_release(member):
    fill = restock.poured(restock.b02())
    with pytest.raises(NotAllowed):
        release_fill(fill=fill, by=member)


# --- through the page and the API


def test_the_page_says_what_will_be_so_and_pours(client, technician):
    old = restock.b02()
    batch = restock.measured(old)
    client.force_login(technician)
    address = reverse("pour-batch", args=[batch.number])
    said = words_of(client.get(address))
    for words in (
        "A new fill of Gannet White, testing",
        "The 4.2 L that was in B02 becomes part of it",
        "its label is void",
        "A new label with a new serial",
        "lift and pour with two",
    ):
        assert words in said, words
    answer = client.post(address, {"key": uuid4(), "vessel": "B02", "depth_cm": "26,8"})
    assert answer.status_code == 303
    assert answer.url == reverse("bucket", args=["B02"])
    fill = Fill.objects.get(emptied_at=None)
    assert fill.volume_l == pytest.approx(D("15.12"), abs=D("0.05"))  # 26.8 cm of P20, slurry.md g
    assert "depth_cm=26,8" in fill.readings.get().raw


WRONG = {
    "no bucket": ({"vessel": ""}, "Into which bucket?"),
    "a foreign bucket": ({"vessel": "B99"}, "There is no bucket B99 in service"),
    "a full bucket": ({"vessel": "B11"}, "B11 already holds Plum"),
    "a depth as text": ({"depth_cm": "half"}, "This is not a number"),
    "too deep": ({"depth_cm": "99"}, "deeper than the bucket"),
    "nought": ({"volume_l_0": "0", "volume_l_1": "L"}, "How many litres are in it?"),
    "minus litres": ({"volume_l_0": "-3", "volume_l_1": "L"}, "never less than 0 L"),
    "over the brim": ({"volume_l_0": "25", "volume_l_1": "L"}, "does not fit"),
    "both, apart": ({"depth_cm": "20", "volume_l_0": "3", "volume_l_1": "L"}, "Which is right?"),
    "no key": ({"key": ""}, "lost its key"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_wrong_input_when_pouring_writes_nothing(client, technician, wrong):
    old = restock.b02()
    batch = restock.measured(old)
    take_over_bucket(vessel=VesselFactory(code="B11"), glaze="Plum", volume_l=D(3), by=technician)
    client.force_login(technician)
    sent, sentence = WRONG[wrong]
    answer = client.post(reverse("pour-batch", args=[batch.number]), {"key": uuid4(), "vessel": "B02"} | sent)
    assert answer.status_code == 422
    assert sentence in words_of(answer)
    batch.refresh_from_db()
    assert batch.state == "wet"
    assert Fill.objects.filter(emptied_at=None).count() == 2


def test_the_api_pours(client, technician):
    batch = restock.measured(restock.b02())
    client.force_login(technician)
    answer = client.post(
        reverse("api-pour-batch", args=[batch.number]),
        {"vessel": "B02"},
        content_type="application/json",
        headers={"Idempotency-Key": str(uuid4())},
    )
    assert answer.status_code == 201
    assert (answer.json()["state"], answer.json()["volume_l"]) == ("testing", "15.150")
