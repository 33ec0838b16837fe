"""A batch is begun with what is in the bucket now, and can be abandoned."""

from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse

from batches.models import Batch
from batches.planning import CannotBeMade
from buckets.errors import FillEmptied
from buckets.models import Fill
from buckets.operations.fills import empty_fill
from buckets.operations.holding import hold_fill, lift_hold
from buckets.operations.pouring import abandon_in_bucket, begin_batch
from buckets.operations.reports import report
from safety.models import Label
from studio.errors import NotAllowed, Refused
from studio.materials.queries import reserved_for
from tests.batches import making
from tests.batches.words import hidden_of, spaced, words_of
from tests.buckets import restock

pytestmark = pytest.mark.django_db
D = Decimal


def fresh(fill: Fill) -> Fill:
    return Fill.objects.get(pk=fill.pk)


def test_beginning_freezes_the_lines_for_what_is_in_the_bucket_now(technician):
    fill = restock.b02(litres="4.5", sg="1.50")
    batch = restock.planned(fill)
    planned_g = batch.dry_g
    batch = begin_batch(
        batch=batch, fill=fill, depth_cm=D("8"), volume_l=D("4.2"), sg=D("1.52"), by=technician
    )

    # scenario A3 and A4
    assert (batch.state, batch.dry_g, batch.water_l) == ("weighing", 7204, D("8.162"))
    assert planned_g != 7204
    assert [line.target_g for line in batch.lines.all()] == [1441, 1834, 1113, 1113, 1048, 655]
    assert (batch.old_volume_l, batch.old_sg) == (D("4.2"), D("1.52"))
    promised = reserved_for(f"batch {batch.number}")
    assert sorted(promised.values()) == sorted(line.target_g for line in batch.lines.all())


def test_the_bucket_is_held_while_it_is_brought_up(technician):
    fill = restock.b02()
    batch = restock.begun(fill)
    held = fresh(fill)
    assert spaced(held.held_reason) == f"being brought to 15 L as batch {batch.number}"
    with pytest.raises(Refused, match="Pour or abandon it"):
        lift_hold(fill=held, decision="looks fine", by=technician)


def test_depth_alone_gives_the_litres(technician):
    fill = restock.b02()
    batch = begin_batch(batch=restock.planned(fill), depth_cm=D("8.0"), sg=D("1.52"), by=technician)
    assert batch.old_volume_l == pytest.approx(D("4.24"), abs=D("0.01"))  # scenario A1


def test_what_is_in_it_must_be_said(technician):
    fill = restock.b02()
    batch = restock.planned(fill)
    with pytest.raises(Refused, match="How much is in B02 now"):
        begin_batch(batch=batch, sg=D("1.52"), by=technician)
    with pytest.raises(Refused, match="What is the specific gravity in B02 now"):
        begin_batch(batch=batch, depth_cm=D(8), by=technician)
    with pytest.raises(Refused, match="Which is right"):
        begin_batch(batch=batch, depth_cm=D(8), volume_l=D(6), sg=D("1.52"), by=technician)
    with pytest.raises(Refused, match="lies between"):
        begin_batch(batch=batch, depth_cm=D(8), sg=D("2.3"), by=technician)
    assert Batch.objects.get().state == "planned"
    assert fresh(fill).held_at is None


def test_a_bucket_that_no_longer_leaves_a_way_is_refused(technician):
    fill = restock.b02()
    with pytest.raises(CannotBeMade) as refused:
        begin_batch(batch=restock.planned(fill), volume_l=D("16"), sg=D("1.52"), by=technician)
    assert "more than the 15 L asked for" in spaced(refused.value.sentence)
    assert Batch.objects.get().state == "planned"


def test_a_reported_or_held_bucket_is_not_brought_up(technician):
    fill = restock.b02()
    batch = restock.planned(fill)
    report(fill=fill, words="blue specks")
    with pytest.raises(Refused, match="blue specks"):
        begin_batch(batch=batch, volume_l=D("4.2"), sg=D("1.52"), by=technician)


def test_a_held_bucket_is_not_brought_up(technician):
    fill = restock.b02()
    batch = restock.planned(fill)
    hold_fill(fill=fill, reason="smells", by=technician)
    with pytest.raises(Refused, match="held: smells"):
        begin_batch(batch=batch, volume_l=D("4.2"), sg=D("1.52"), by=technician)


def test_a_fill_emptied_meanwhile_is_named(technician):
    fill = restock.b02()
    batch = restock.planned(fill)
    empty_fill(fill=fill, why="to reclaim", by=technician)
    with pytest.raises(FillEmptied):
        begin_batch(batch=batch, fill=fill, volume_l=D("4.2"), sg=D("1.52"), by=technician)


def test_an_emptied_bucket_is_made_new_from_nothing(technician):
    fill = restock.b02()
    batch = restock.planned(fill)
    empty_fill(fill=fill, why="to reclaim", by=technician)
    batch = begin_batch(batch=batch, by=technician)
    # 15 L at 1.45 of 2.731: 15 x 2.731 x 0.45 / 1.731 = 10.649 kg, worked out by hand
    assert batch.dry_g == 10649
    assert batch.old_volume_l == 0


def test_a_batch_for_a_clean_bucket_needs_nothing_measured(technician):
    batch = making.planned()
    assert begin_batch(batch=batch, by=technician).state == "weighing"


def test_a_helper_without_sign_off_can_not_begin(technician, member):
    fill = restock.b02()
    with pytest.raises(NotAllowed, match="to weigh a batch"):
        begin_batch(batch=restock.planned(fill), volume_l=D("4.2"), sg=D("1.52"), by=member)


def test_a_signed_off_helper_may_begin(helper):
    fill = restock.b02()
    batch = begin_batch(batch=restock.planned(fill), volume_l=D("4.2"), sg=D("1.52"), by=helper)
    assert batch.state == "weighing"


def test_a_batch_begins_once(technician):
    fill = restock.b02()
    batch = restock.begun(fill)
    with pytest.raises(Refused):
        begin_batch(batch=batch, volume_l=D("4.2"), sg=D("1.52"), by=technician)


# --- abandoned


def test_abandoning_frees_the_bucket_and_what_is_promised(technician):
    fill = restock.b02()
    batch = restock.begun(fill)
    batch = abandon_in_bucket(batch=batch, reason="scale broke", by=technician)
    assert batch.state == "abandoned"
    assert reserved_for(f"batch {batch.number}") == {}
    assert fresh(fill).held_at is None


def test_abandoning_after_something_went_in_keeps_the_bucket_held(technician):
    fill = restock.b02()
    batch = restock.begun(fill)
    abandon_in_bucket(batch=batch, reason="water onto the old glaze", mixed=True, by=technician)
    assert "was abandoned after some of it went in" in fresh(fill).held_reason
    lift_hold(fill=fresh(fill), decision="measured, it is only thinner", by=technician)
    assert fresh(fill).held_at is None


def test_a_report_that_came_meanwhile_outlives_the_batch(technician):
    fill = restock.b02()
    batch = restock.begun(fill)
    report(fill=fill, words="a smell")
    abandon_in_bucket(batch=batch, reason="scale broke", by=technician)
    assert "a smell" in fresh(fill).held_reason
    with pytest.raises(Refused, match="a smell"):
        lift_hold(fill=fresh(fill), decision="no", by=technician)


def test_abandoning_voids_the_working_label(technician):
    batch = making.weighing_batch()
    label = Label.objects.get(on_kind="batches.batch", on_id=batch.pk)
    abandon_in_bucket(batch=batch, reason="wrong powder", by=technician)
    label.refresh_from_db()
    assert (label.state, label.void_reason) == ("void", f"batch {batch.number} was abandoned")


def test_a_member_can_not_abandon(member):
    fill = restock.b02()
    with pytest.raises(NotAllowed):
        abandon_in_bucket(batch=restock.begun(fill), reason="no", by=member)


# --- through the pages


def test_the_page_asks_again_then_shows_the_restated_numbers_then_begins(client, technician):
    fill = restock.b02(litres="4.5", sg="1.50")
    batch = restock.planned(fill)
    client.force_login(technician)
    address = reverse("begin-batch", args=[batch.number])

    first = client.get(address)
    assert "On record it holds 4.5 L at 1.500" in words_of(first)
    assert "Begin weighing" not in words_of(first)

    second = client.get(address, {"depth_cm": "8,0", "volume_l_0": "4.2", "volume_l_1": "L", "sg": "1,52"})
    said = words_of(second)
    assert "Restated for what is in it now" in said
    assert "1 441 g" in said
    assert "7.183 L" in said

    answer = client.post(address, hidden_of(second, address))
    assert answer.status_code == 303
    assert answer.url == reverse("bench", args=[batch.number])
    batch.refresh_from_db()
    assert (batch.state, batch.dry_g) == ("weighing", 7204)


def test_the_page_of_a_clean_bucket_asks_nothing(client, technician):
    batch = making.planned()
    client.force_login(technician)
    address = reverse("begin-batch", args=[batch.number])
    page = client.get(address)
    assert "As it was planned" in words_of(page)
    assert client.post(address, hidden_of(page, address)).status_code == 303


WRONG = {
    "nothing": ({"sg": ""}, "How much is in B02 now?"),
    "depth as text": ({"depth_cm": "deep", "sg": "1.5"}, "This is not a number"),
    "too deep": ({"depth_cm": "400", "sg": "1.5"}, "deeper than the bucket"),
    "minus depth": ({"depth_cm": "-1", "sg": "1.5"}, "at least 0 cm"),
    "minus litres": ({"volume_l_0": "-4", "volume_l_1": "L", "sg": "1.5"}, "never less than 0 L"),
    "no gravity": ({"depth_cm": "8", "sg": ""}, "What is the specific gravity in B02 now?"),
    "slipped gravity": ({"depth_cm": "8", "sg": "15.2"}, "can be read as 1.52"),
    "gravity of lead": ({"depth_cm": "8", "sg": "2.2"}, "between 1.00"),
    "gravity as words": ({"depth_cm": "8", "sg": "thick"}, "This is not a number"),
    "both, apart": ({"depth_cm": "8", "volume_l_0": "9", "volume_l_1": "L", "sg": "1.5"}, "Which is right?"),
    "over the brim": ({"volume_l_0": "30", "volume_l_1": "L", "sg": "1.5"}, "does not fit"),
    "a wrong unit": ({"volume_l_0": "4", "volume_l_1": "stone", "sg": "1.5"}, "Choose one from the list"),
    "another fill": ({"depth_cm": "8", "sg": "1.5", "fill": "99999"}, "made for another bucket"),
    "no way left": ({"volume_l_0": "17", "volume_l_1": "L", "sg": "1.6"}, "more than the 15 L asked for"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_wrong_input_at_the_beginning_writes_nothing(client, technician, wrong):
    fill = restock.b02()
    batch = restock.planned(fill)
    sent, sentence = WRONG[wrong]
    client.force_login(technician)
    answer = client.post(reverse("begin-batch", args=[batch.number]), {"key": uuid4()} | sent)
    assert answer.status_code == 422
    assert sentence in words_of(answer)
    assert client.get(reverse("begin-batch", args=[batch.number]), sent).status_code == 200
    batch.refresh_from_db()
    assert batch.state == "planned"
    assert fresh(fill).held_at is None


def test_abandoning_through_the_page_needs_a_reason(client, technician):
    fill = restock.b02()
    batch = restock.begun(fill)
    client.force_login(technician)
    address = reverse("abandon-in-bucket", args=[batch.number])
    assert "Some of it went into the glaze in the bucket" in words_of(client.get(address))
    assert client.post(address, {"key": uuid4(), "reason": " "}).status_code == 422
    assert client.post(address, {"key": uuid4(), "reason": "scale broke"}).status_code == 303
    batch.refresh_from_db()
    assert batch.state == "abandoned"


# --- over the API


def test_the_api_begins_and_abandons(client, technician):
    fill = restock.b02()
    batch = restock.planned(fill)
    client.force_login(technician)

    def post(name, body):
        return client.post(
            reverse(name, args=[batch.number]),
            body,
            content_type="application/json",
            headers={"Idempotency-Key": str(uuid4())},
        )

    assert post("api-begin-batch", {"depth_cm": "8"}).status_code == 422
    begun = post("api-begin-batch", {"volume_l": {"amount": "4.2", "unit": "L"}, "sg": "1.52"})
    assert begun.status_code == 201
    assert begun.json()["state"] == "weighing"
    assert post("api-abandon-in-bucket", {}).status_code == 422
    assert post("api-abandon-in-bucket", {"reason": "scale broke"}).json()["state"] == "abandoned"
