"""Two writers at once: a last kilogram goes to one of them, on SQLite and on PostgreSQL.

These tests commit for real and run in threads, each with its own connection.
"""

import threading
from collections import Counter
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import close_old_connections, connection

from studio.errors import Refused
from studio.materials.models import Lot, Material, Movement, Reservation
from studio.materials.operations import stock
from studio.materials.operations.materials import add_material
from tests.factories import person

pytestmark = pytest.mark.django_db(transaction=True)

THREADS = 8
TRIES = 1000
KILOGRAM = Decimal(1000)


def at_once(work: Callable[[int], str]) -> Counter[str]:
    """The same work in every thread, all starting together; how often each answer came."""
    start, answers, broken = threading.Barrier(THREADS), [], []

    def run(number: int) -> None:
        try:
            start.wait()
            for turn in range(TRIES // THREADS):
                answers.append(work(turn))
        except Exception as error:
            broken.append(repr(error))
        finally:
            close_old_connections()
            connection.close()

    threads = [threading.Thread(target=run, args=(number,)) for number in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert broken == []
    assert len(answers) == TRIES
    return Counter(answers)


@pytest.fixture
def bram(transactional_db):
    return person("Bram", "technician")


def a_lot_of(mass_g: Decimal, bram, code: str = "SI-1") -> Lot:
    material = Material.objects.first() or add_material(name="Silica", by=bram)
    price = Decimal("0.62")
    return stock.receive_lot(
        material=material, mass_g=mass_g, code=code, price_per_kg=price, state="released", by=bram
    )


def test_the_last_kilogram_of_a_lot_is_taken_once(bram):
    """125 lots of one kilogram, eight threads at each: 1000 tries, 125 can succeed."""
    lots = [a_lot_of(KILOGRAM, bram, f"SI-{number}") for number in range(TRIES // THREADS)]

    def take_it(turn: int) -> str:
        try:
            stock.issue(lots[turn], KILOGRAM, "batch 26-001, line 1", bram)
        except stock.ShortOf:
            return "short"
        return "taken"

    assert at_once(take_it) == {"taken": len(lots), "short": TRIES - len(lots)}
    issued = Movement.objects.filter(kind=Movement.Kind.WEIGHED).values_list("lot", flat=True)
    assert sorted(issued) == sorted(lot.pk for lot in lots)
    material = Material.objects.get()
    assert (material.owned_g, material.value) == (0, 0)
    assert set(Lot.objects.values_list("on_hand_g", flat=True)) == {Decimal(0)}


def test_scoops_out_of_the_last_kilogram_never_add_up_to_more(bram):
    """7.5 g a scoop out of 1 kg: 133 scoops, 2.5 g left; worked by hand."""
    lot = a_lot_of(KILOGRAM, bram)

    def scoop(turn: int) -> str:
        try:
            stock.issue(lot, Decimal("7.5"), "batch 26-001, line 1", bram)
        except stock.ShortOf:
            return "short"
        return "taken"

    assert at_once(scoop) == {"taken": 133, "short": TRIES - 133}
    lot.refresh_from_db()
    assert lot.on_hand_g == Decimal("2.5")
    after = Movement.objects.filter(kind=Movement.Kind.WEIGHED).values_list("on_hand_after_g", flat=True)
    assert sorted(after, reverse=True) == [KILOGRAM - Decimal("7.5") * n for n in range(1, 134)]
    material = Material.objects.get()
    spent = -sum(Movement.objects.filter(mass_g__lt=0).values_list("cost", flat=True))
    assert material.value + spent == Decimal("0.62")


def test_the_last_kilogram_is_promised_once(bram):
    """100 g a promise out of 1 kg: ten, whoever asks."""
    material = a_lot_of(KILOGRAM, bram).material

    def promise(turn: int) -> str:
        try:
            stock.reserve(material, Decimal(100), "batch 26-001", "1", bram)
        except stock.ShortOf:
            return "short"
        return "promised"

    assert at_once(promise) == {"promised": 10, "short": TRIES - 10}
    assert Reservation.objects.count() == 10
    stock.reserve(material, -KILOGRAM, "batch 26-001", "1", bram)


def test_one_delivery_typed_by_two_is_one_lot(bram):
    """Nobody's code is taken twice, and nobody gets a fault: the later one is told that it is taken."""
    material = add_material(name="Silica", by=bram)

    def receive(turn: int) -> str:
        try:
            stock.receive_lot(material=material, mass_g=KILOGRAM, code=f"SI-{turn}", by=bram)
        except Refused as refusal:
            return refusal.field or "no field"
        return "received"

    lots = TRIES // THREADS
    assert at_once(receive) == {"received": lots, "code": TRIES - lots}
    assert Lot.objects.count() == Movement.objects.count() == lots
