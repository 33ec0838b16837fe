"""The ledger's law: whatever is done in whatever order, every balance is the sum of its rows.

The amounts are the test's own, no source.
"""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from studio.errors import Refused
from studio.materials.models import Lot, Material, Movement, Reservation
from studio.materials.operations import stock
from studio.materials.operations.materials import add_material
from studio.materials.queries import standing
from tests.factories import person

MASSES = st.decimals("0.001", "60000", places=3)
PRICES = st.decimals("0", "95", places=4)
PICKS = st.integers(0, 30)
BOUGHT_AND_WEIGHED = [
    st.tuples(st.just("receive"), MASSES, PRICES),
    st.tuples(st.just("issue"), MASSES, PICKS),
    st.tuples(st.just("all of it"), MASSES, PICKS),
    st.tuples(st.just("take back"), MASSES, PICKS),
]
PUT_RIGHT_AND_PROMISED = [
    st.tuples(st.just("reserve"), MASSES, PICKS),
    st.tuples(st.just("free"), MASSES, PICKS),
    st.tuples(st.just("correct"), MASSES, PICKS),
    st.tuples(st.just("use up"), MASSES, PICKS),
    st.tuples(st.just("price"), PRICES, PICKS),
]


class Room:
    """One material and a person doing things to it; a refusal is one more thing that may happen."""

    def __init__(self) -> None:
        self.by = person("Bram", "technician")
        self.material = add_material(name="Silica", by=self.by)
        self.refused = 0

    def lot(self, pick: int) -> Lot | None:
        lots = list(self.material.lots.order_by("id"))
        return lots[pick % len(lots)] if lots else None

    def do(self, what: str, amount: Decimal, other) -> None:
        try:
            self._do(what, amount, other)
        except Refused:
            self.refused += 1

    def _do(self, what: str, amount: Decimal, other) -> None:
        if what == "receive":
            stock.receive_lot(
                material=self.material, mass_g=amount, price_per_kg=other, state="released", by=self.by
            )
        elif what in ("reserve", "free"):
            mass = amount if what == "reserve" else -amount
            stock.reserve(self.material, mass, "batch 26-001", str(other % 3), self.by)
        elif (lot := self.lot(other)) is None:
            return
        elif what == "issue":
            stock.issue(lot, amount, "batch 26-001", self.by)
        elif what == "all of it" and lot.on_hand_g:
            stock.issue(lot, lot.on_hand_g, "batch 26-001", self.by)
        elif what == "take back":
            rows = list(lot.movements.order_by("id"))
            stock.take_back(rows[other % len(rows)], "weighed wrong", self.by)
        elif what == "correct":
            stock.correct_stock(lot=lot, to_g=amount, reason="counted", by=self.by)
        elif what == "use up":
            stock.use_up_lot(lot=lot, reason="empty", by=self.by)
        elif what == "price":
            stock.correct_price(lot=lot, price_per_kg=amount, reason="invoice", by=self.by)


def total(rows, field: str) -> Decimal:
    """The sum in Python, so that it does not lean on the database's own adding."""
    return sum(rows.values_list(field, flat=True), Decimal(0))


def assert_balanced(material: Material) -> None:
    material.refresh_from_db()
    moved = Movement.objects.filter(material=material)
    assert material.owned_g == total(moved, "mass_g") >= 0
    assert material.value == total(moved, "cost") >= 0
    assert material.owned_g > 0 or material.value == 0
    assert material.reserved_g == total(Reservation.objects.filter(material=material), "mass_g") >= 0
    for lot in material.lots.all():
        rows = list(lot.movements.order_by("id"))
        so_far = Decimal(0)
        for row in rows:
            so_far += row.mass_g
            assert row.on_hand_after_g == so_far >= 0
        assert lot.on_hand_g == so_far
        assert lot.state != Lot.State.USED_UP or so_far == 0
    released = material.lots.filter(state=Lot.State.RELEASED)
    stands = standing([material.pk])[material.pk]
    assert stands.usable_g == total(released, "on_hand_g")
    assert stands.available_g == stands.usable_g - material.reserved_g


class Laws(TestCase):
    @settings(max_examples=60)
    @given(st.lists(st.one_of(BOUGHT_AND_WEIGHED + PUT_RIGHT_AND_PROMISED), max_size=25))
    def test_every_balance_is_the_sum_of_its_rows(self, steps):
        room = Room()
        for what, amount, other in steps:
            room.do(what, amount, other)
        assert_balanced(room.material)

    @settings(max_examples=60)
    @given(st.lists(st.one_of(BOUGHT_AND_WEIGHED), max_size=25))
    def test_value_left_and_value_issued_make_value_bought(self, steps):
        room = Room()
        for what, amount, other in steps:
            room.do(what, amount, other)
        room.material.refresh_from_db()
        rows = Movement.objects.filter(material=room.material)
        bought = total(rows.filter(kind=Movement.Kind.RECEIVED), "cost")
        issued = -total(rows.filter(kind=Movement.Kind.WEIGHED), "cost")
        assert room.material.value + issued == bought

    @settings(max_examples=30)
    @given(MASSES, PRICES, st.lists(MASSES, min_size=1, max_size=6))
    def test_taking_everything_back_brings_back_the_whole_value(self, mass, price, weighed):
        room = Room()
        room.do("receive", mass, price)
        for amount in weighed:
            room.do("issue", amount, 0)
        for row in Movement.objects.filter(kind=Movement.Kind.WEIGHED):
            stock.take_back(row, "wrong batch", room.by)
        room.material.refresh_from_db()
        received = Movement.objects.get(kind=Movement.Kind.RECEIVED)
        assert (room.material.owned_g, room.material.value) == (mass, received.cost)


@pytest.fixture
def room(db):
    return Room()


def test_the_law_test_would_see_a_lost_gram(room):
    room.do("receive", Decimal(1000), Decimal(1))
    Material.objects.update(owned_g=Decimal(999))
    with pytest.raises(AssertionError):
        assert_balanced(room.material)
    Material.objects.update(owned_g=Decimal(1000))
    assert_balanced(room.material)


def test_money_follows_the_moving_average(room):
    """10 kg at 1.00 and 10 kg at 3.00 make 2.00 a kg; worked by hand."""
    room.do("receive", Decimal(10_000), Decimal(1))
    room.do("receive", Decimal(10_000), Decimal(3))
    movement = stock.issue(room.lot(0), Decimal(5_000), "batch 26-001, line 1", room.by)
    assert movement.cost == Decimal("-10")
    room.material.refresh_from_db()
    assert room.material.value == Decimal(30)


def test_the_last_gram_takes_the_odd_money(room):
    """3 g worth 0.0010: 0.0003, 0.0004 and the last 0.0003; worked by hand."""
    room.do("receive", Decimal(3), Decimal("0.3333"))
    costs = [stock.issue(room.lot(0), Decimal(1), "batch 26-001", room.by).cost for _ in range(3)]
    assert costs == [Decimal("-0.0003"), Decimal("-0.0004"), Decimal("-0.0003")]
    assert sum(costs) == -Decimal("0.0010")


def test_more_than_the_lot_holds_is_refused_by_name_and_amounts(room):
    room.do("receive", Decimal("2500"), Decimal(1))
    lot = room.lot(0)
    with pytest.raises(stock.ShortOf) as refused:
        stock.issue(lot, Decimal("2600.5"), "batch 26-001", room.by)
    said = refused.value.sentence.replace("\u00a0", " ")
    assert f"Lot {lot.code} of Silica holds 2.5 kg, 2.601 kg were wanted: 100.5 g short." in said
    assert (refused.value.lot, refused.value.there_g) == (lot, Decimal(2500))
    assert Movement.objects.count() == 1


def test_more_than_is_available_cannot_be_promised(room):
    room.do("receive", Decimal(1000), Decimal(1))
    stock.reserve(room.material, Decimal(700), "batch 26-001", "1", room.by)
    with pytest.raises(stock.ShortOf) as refused:
        stock.reserve(room.material, Decimal(400), "batch 26-002", "1", room.by)
    assert refused.value.sentence.replace("\u00a0", " ") == (
        "Silica: 400 g wanted, 300 g available. 100 g short."
    )
    stock.reserve(room.material, Decimal(-700), "batch 26-001", "1", room.by)
    assert_balanced(room.material)


def test_what_is_in_quarantine_cannot_be_promised_or_weighed(room):
    stock.receive_lot(material=room.material, mass_g=Decimal(1000), by=room.by)
    with pytest.raises(stock.ShortOf):
        stock.reserve(room.material, Decimal(1), "batch 26-001", "1", room.by)
    with pytest.raises(stock.LotNotReleased) as refused:
        stock.issue(room.lot(0), Decimal(1), "batch 26-001", room.by)
    assert "is in quarantine" in refused.value.sentence


def test_no_more_is_freed_than_was_promised(room):
    room.do("receive", Decimal(1000), Decimal(1))
    stock.reserve(room.material, Decimal(300), "batch 26-001", "1", room.by)
    with pytest.raises(Refused, match="no more can be freed"):
        stock.reserve(room.material, Decimal(-301), "batch 26-001", "1", room.by)
    stock.reserve(room.material, Decimal(-300), "batch 26-001", "1", room.by)
    assert_balanced(room.material)


def test_a_movement_is_taken_back_once(room):
    room.do("receive", Decimal(1000), Decimal(1))
    movement = stock.issue(room.lot(0), Decimal(300), "batch 26-001, line 2", room.by)
    back = stock.take_back(movement, "wrong pot", room.by)
    assert (back.mass_g, back.cost, back.what, back.reverses) == (
        Decimal(300),
        -movement.cost,
        "batch 26-001, line 2",
        movement,
    )
    with pytest.raises(Refused, match="taken back already"):
        stock.take_back(movement, "again", room.by)
    with pytest.raises(Refused, match="takes another back"):
        stock.take_back(back, "again", room.by)


def test_a_receipt_is_not_taken_back_after_other_powder_moved(room):
    room.do("receive", Decimal(1000), Decimal(9))
    room.do("receive", Decimal(1000), Decimal(1))
    first = Movement.objects.earliest("id")
    with pytest.raises(Refused, match="has moved since"):
        stock.take_back(first, "booked twice", room.by)
    assert_balanced(room.material)


def test_powder_taken_back_reopens_a_lot_that_was_used_up(room):
    room.do("receive", Decimal(1000), Decimal(1))
    movement = stock.issue(room.lot(0), Decimal(990), "batch 26-001", room.by)
    stock.use_up_lot(lot=room.lot(0), reason="swept out", by=room.by)
    stock.take_back(movement, "wrong lot", room.by)
    assert (room.lot(0).state, room.lot(0).on_hand_g) == (Lot.State.RELEASED, Decimal(990))
    assert_balanced(room.material)
