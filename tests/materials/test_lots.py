"""Lots: received, released, rejected, corrected, used up. Money worked by hand."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from studio.errors import NotAllowed, Refused
from studio.materials.models import Lot, Movement
from studio.materials.operations import stock
from studio.materials.operations.materials import add_material
from studio.materials.queries import released_lots, reserved_for, standing
from studio.people.acts import story
from studio.people.models import Entry


@pytest.fixture
def silica(technician):
    return add_material(name="Silica", hazard_words="respirable silica", by=technician)


@pytest.fixture
def receive(technician, silica):
    def come(mass="25000", price="0.62", **said) -> Lot:
        amounts = {"mass_g": Decimal(mass), "price_per_kg": Decimal(price)}
        return stock.receive_lot(material=silica, by=technician, **amounts, **said)

    return come


def test_a_delivery_waits_in_quarantine(receive, silica, technician):
    lot = receive(supplier="Tollgate Minerals", supplier_lot="N-1", note="damp corner")
    stands = standing([silica.pk])[silica.pk]
    assert (lot.state, stands.usable_g, stands.quarantine_g) == ("quarantine", 0, 25_000)
    stock.release_lot(lot=lot, by=technician)
    stands = standing([silica.pk])[silica.pk]
    assert (stands.usable_g, stands.quarantine_g, stands.unit_cost_per_g) == (25_000, 0, Decimal("0.00062"))


def test_only_the_ways_between_states_are_open(receive, technician):
    lot = receive(state="released")
    with pytest.raises(Refused, match=r"is released\. Only a lot in quarantine"):
        stock.release_lot(lot=lot, by=technician)
    stock.quarantine_lot(lot=lot, reason="caked", by=technician)
    with pytest.raises(Refused, match=r"is in quarantine\. Only a released lot can be used up"):
        stock.use_up_lot(lot=lot, reason="x", by=technician)
    stock.reject_lot(lot=lot, reason="wrong mesh", by=technician)
    for again in (stock.reject_lot, stock.quarantine_lot):
        with pytest.raises(Refused, match="is rejected"):
            again(lot=lot, reason="x", by=technician)
    lot.refresh_from_db()
    assert (lot.state, lot.on_hand_g) == ("rejected", 25_000)
    assert story(lot)[0].content["reason"] == "wrong mesh"


def test_a_rejected_lot_is_owned_until_it_leaves(receive, silica, technician):
    lot = receive()
    stock.reject_lot(lot=lot, reason="wrong mesh", by=technician)
    silica.refresh_from_db()
    assert (silica.owned_g, silica.value) == (25_000, Decimal("15.5"))
    stock.correct_stock(lot=lot, to_g=Decimal(0), reason="sent back", by=technician)
    silica.refresh_from_db()
    assert (silica.owned_g, silica.value) == (0, 0)


def test_used_up_writes_the_residue_off_with_its_money(receive, silica, technician):
    lot = receive(mass="1000", price="3", state="released")
    stock.issue(lot, Decimal(997), "batch 26-001, line 1", technician)
    stock.use_up_lot(lot=lot, reason="stuck to the bag", by=technician)
    lot.refresh_from_db()
    silica.refresh_from_db()
    last = lot.movements.last()
    assert (last.kind, last.mass_g, last.cost) == ("written off", Decimal(-3), Decimal("-0.009"))
    assert (lot.state, lot.on_hand_g, silica.value) == ("used up", 0, 0)
    assert list(released_lots(silica)) == []


def test_a_correction_is_one_more_line_at_the_moving_average(receive, silica, technician):
    """20 kg at 1 and 20 kg at 3 average 2 a kg; 5 kg missing cost 10, 2.5 kg found are worth 5."""
    first, second = (receive(mass="20000", price=price, state="released") for price in ("1", "3"))
    stock.issue(second, Decimal(1000), "batch 26-001, line 1", technician)
    missing = stock.correct_stock(lot=first, to_g=Decimal(15_000), reason="counted", by=technician)
    found = stock.correct_stock(lot=first, to_g=Decimal(17_500), reason="second bag", by=technician)
    assert (missing.mass_g, missing.cost, missing.on_hand_after_g) == (-5000, -10, 15_000)
    assert (found.mass_g, found.cost, found.reason) == (2500, 5, "second bag")
    silica.refresh_from_db()
    assert (silica.owned_g, silica.value) == (36_500, 73)


def test_a_delivery_typed_wrong_is_put_right_at_its_own_price(receive, silica, technician):
    """2.5 kg typed for 25: found powder takes this lot's price, not the average of both."""
    receive(mass="10000", price="1", state="released")
    lot = receive(mass="2500", price="3")
    stock.correct_stock(lot=lot, to_g=Decimal(25_000), reason="typed wrong", by=technician)
    silica.refresh_from_db()
    assert silica.value == Decimal(10 + 75)


def test_a_delivery_booked_twice_goes_with_its_own_money(receive, silica, technician):
    receive(mass="10000", price="1", state="released")
    twice = receive(mass="10000", price="9")
    stock.correct_stock(lot=twice, to_g=Decimal(0), reason="booked twice", by=technician)
    silica.refresh_from_db()
    assert (silica.owned_g, silica.value) == (10_000, 10)


def test_a_used_up_lot_that_holds_something_is_released_again(receive, technician):
    lot = receive(mass="1000", state="released")
    stock.use_up_lot(lot=lot, reason="empty", by=technician)
    stock.correct_stock(lot=lot, to_g=Decimal(300), reason="a bag behind the door", by=technician)
    lot.refresh_from_db()
    assert (lot.state, lot.on_hand_g) == ("released", 300)


def test_a_wrong_price_counts_for_what_is_still_there(receive, silica, technician):
    """10 kg typed at 10 for 1: 4 kg went at 40, 6 kg stay; 6 kg at 1 are worth 6."""
    lot = receive(mass="10000", price="10", state="released")
    weighed = stock.issue(lot, Decimal(4000), "batch 26-001, line 1", technician)
    line = stock.correct_price(lot=lot, price_per_kg=Decimal(1), reason="point slipped", by=technician)
    silica.refresh_from_db()
    assert (weighed.cost, line.mass_g, line.cost) == (-40, 0, -54)
    assert (silica.owned_g, silica.value) == (6000, 6)


def test_worth_never_falls_below_nought(receive, silica, technician):
    """Averages mixed a dear lot with a cheap one; putting the dear one right stops at 0."""
    dear, cheap = (receive(mass="10000", price=price, state="released") for price in ("10", "1"))
    stock.issue(cheap, Decimal(10_000), "batch 26-001, line 1", technician)
    line = stock.correct_price(lot=dear, price_per_kg=Decimal(1), reason="point slipped", by=technician)
    silica.refresh_from_db()
    assert (silica.value, line.cost) == (0, -55)


def test_when_it_happened_and_when_it_was_written_are_both_kept(receive, technician):
    then = timezone.now() - timedelta(days=20)
    lot = receive(state="released", at=then)
    movement = Movement.objects.get()
    assert (movement.at, lot.received_on) == (then, timezone.localdate(then))
    assert timezone.now() - movement.entered_at < timedelta(minutes=1)


def test_details_are_changed_and_amounts_are_not(receive, technician):
    lot = receive()
    day = date(2026, 4, 1)
    stock.change_lot(lot=lot, supplier="Northmoor", supplier_lot="7", received_on=day, note="", by=technician)
    lot.refresh_from_db()
    assert (lot.supplier, lot.received_on, lot.on_hand_g) == ("Northmoor", day, 25_000)


def test_oldest_released_lots_come_first(receive, silica, technician):
    new = receive(state="released", code="SI-9", received_on=date(2026, 4, 1))
    old = receive(state="released", code="SI-8", received_on=date(2026, 1, 14))
    receive(code="SI-7", received_on=date(2025, 1, 1))
    assert list(released_lots(silica)) == [old, new]


def test_promises_are_told_by_material_and_line(receive, silica, technician):
    receive(state="released")
    stock.reserve(silica, Decimal(300), "batch 26-001", "2", technician)
    stock.reserve(silica, Decimal(100), "batch 26-001", "5", technician)
    stock.reserve(silica, Decimal(-100), "batch 26-001", "5", technician)
    assert reserved_for("batch 26-001") == {(silica.pk, "2"): Decimal(300)}
    stock.reserve(silica, Decimal(-300), "batch 26-001", "2", technician)
    assert reserved_for("batch 26-001") == {}


def test_how_materials_stand_is_two_queries(receive, silica, technician, django_assert_num_queries):
    for number in range(5):
        receive(state="released" if number % 2 else "quarantine")
    other = add_material(name="Talc", by=technician)
    with django_assert_num_queries(2):
        stands = standing([silica.pk, other.pk])
    assert (stands[silica.pk].usable_g, stands[silica.pk].quarantine_g) == (50_000, 75_000)
    assert stands[other.pk].available_g == 0


@pytest.mark.parametrize("who", ["member", "helper"])
def test_only_technicians_change_the_store(request, receive, who):
    lot, person = receive(), request.getfixturevalue(who)
    acts = [
        lambda: stock.release_lot(lot=lot, by=person),
        lambda: stock.reject_lot(lot=lot, reason="x", by=person),
        lambda: stock.correct_stock(lot=lot, to_g=Decimal(1), reason="x", by=person),
        lambda: stock.correct_price(lot=lot, price_per_kg=Decimal(1), reason="x", by=person),
        lambda: stock.receive_lot(material=lot.material, mass_g=Decimal(1), by=person),
    ]
    for refused in acts:
        with pytest.raises(NotAllowed):
            refused()
    lot.refresh_from_db()
    assert (lot.state, lot.on_hand_g, Lot.objects.count()) == ("quarantine", 25_000, 1)


def test_the_same_key_twice_corrects_once(receive, technician):
    lot, key = receive(), uuid4()
    first, again = (
        stock.correct_stock(lot=lot, to_g=Decimal(900), reason="counted", by=technician, key=key)
        for _ in range(2)
    )
    assert first == again
    assert Movement.objects.filter(kind="corrected").count() == 1


# --- pages --------------------------------------------------------------------------------------------


@pytest.fixture
def pages(client, technician):
    client.force_login(technician, backend="django.contrib.auth.backends.ModelBackend")
    return client


def post(pages, name, *args, **typed):
    return pages.post(reverse(name, args=args), {**typed, "key": str(uuid4())}, follow=True)


def test_a_lot_through_its_pages(pages, silica):
    receipt = {
        "mass_g_0": "25",
        "mass_g_1": "kg",
        "price_per_kg": "0.62",
        "code": "SI-21",
        "state": "quarantine",
    }
    said = post(pages, "receive-lot", silica.pk, **receipt).content.decode().replace("\u00a0", " ")
    assert "Lot SI-21: 25 kg of Silica, in quarantine until you release it." in said
    assert "respirable silica" in said
    assert "is released: it may be weighed from" in post(pages, "release-lot", "SI-21").content.decode()
    corrected = post(pages, "correct-stock", "SI-21", to_g_0="24", to_g_1="kg", reason="weighed")
    assert "The record says 24 kg now." in corrected.content.decode().replace("\u00a0", " ")
    assert post(pages, "quarantine-lot", "SI-21", reason="damp").status_code == 200
    assert (
        post(pages, "change-lot", "SI-21", received_on="2026-04-01", supplier="Tollgate").status_code == 200
    )
    assert post(pages, "correct-price", "SI-21", price_per_kg="0.7", reason="invoice").status_code == 200
    assert post(pages, "reject-lot", "SI-21", reason="wrong mesh").status_code == 200
    lot = Lot.objects.get()
    assert (lot.state, lot.supplier, lot.price_per_kg) == ("rejected", "Tollgate", Decimal("0.7"))
    assert Movement.objects.get(kind="corrected", mass_g__lt=0).raw == "to_g=24 kg; reason=weighed"


def test_an_unlikely_figure_is_asked_about_and_taken_when_it_is_sure(pages, receive):
    lot = receive(state="released")
    typed = {"to_g_0": "9", "to_g_1": "kg", "reason": "bags left by mistake"}
    asked = post(pages, "correct-stock", lot.code, **typed)
    text = asked.content.decode().replace("\u00a0", " ")
    assert asked.status_code == 422
    assert "The record says 25 kg. Is 9 kg right, also its unit?" in text
    assert 'type="checkbox" name="sure"' in text
    assert post(pages, "correct-stock", lot.code, **typed, sure="on").status_code == 200
    lot.refresh_from_db()
    assert lot.on_hand_g == 9000


def test_a_residue_is_written_off_without_a_question_and_a_bag_is_not(pages, receive, technician):
    """25 kg came: 0.5 kg is a residue (2 %), more is asked about."""
    residue, bag = receive(state="released"), receive(state="released")
    stock.issue(residue, Decimal(24_500), "batch 26-001, line 1", technician)
    assert post(pages, "use-up-lot", residue.code, reason="bag empty").status_code == 200
    assert post(pages, "use-up-lot", bag.code, reason="bag empty").status_code == 422
    assert Lot.objects.get(pk=bag.pk).state == "released"


@pytest.mark.parametrize("state", ["quarantine", "released", "used up", "rejected"])
def test_a_lot_offers_what_its_state_allows(pages, receive, technician, state):
    lot = receive(state="released" if state in ("released", "used up") else "quarantine")
    if state == "used up":
        stock.use_up_lot(lot=lot, reason="empty", by=technician)
    if state == "rejected":
        stock.reject_lot(lot=lot, reason="damp", by=technician)
    text = pages.get(reverse("lot", args=[lot.code])).content.decode()
    offered = {
        name
        for name in ("release-lot", "reject-lot", "use-up-lot", "quarantine-lot", "correct-stock")
        if reverse(name, args=[lot.code]) in text
    }
    expected = {
        "quarantine": {"release-lot", "reject-lot"},
        "released": {"reject-lot", "use-up-lot", "quarantine-lot"},
    }
    assert offered == expected.get(state, set()) | {"correct-stock"}
    assert ("strong" in text) == (state == "quarantine")


def test_a_page_behind_the_times_is_told_what_is(pages, receive, technician):
    lot = receive()
    stock.release_lot(lot=lot, by=technician)
    before = Entry.objects.count()
    answer = post(pages, "release-lot", lot.code)
    assert answer.status_code == 422
    assert "is released. Only a lot in quarantine can be released." in answer.content.decode()
    assert Entry.objects.count() == before
