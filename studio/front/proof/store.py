"""The store: balances of lots and materials against the ledger and the promises."""

from collections.abc import Iterator
from decimal import Decimal

from django.db.models import F, Q, Sum, Window

from studio import words
from studio.front.proof.problem import Problem, ill_reversed
from studio.materials.models import Lot, Material, Movement, Reservation

NOUGHT = Decimal(0)


def problems() -> Iterator[Problem]:
    yield from _lots()
    yield from _running_balance()
    yield from _materials()
    yield from _movements()


def _lots() -> Iterator[Problem]:
    sums = dict(Movement.objects.order_by().values_list("lot").annotate(Sum("mass_g")))
    for pk, code, on_hand_g, state in Lot.objects.values_list("pk", "code", "on_hand_g", "state"):
        ledger_g = sums.get(pk, NOUGHT)
        if on_hand_g != ledger_g:
            yield Problem(f"lot {code}", f"holds {_g(on_hand_g)}, its ledger adds up to {_g(ledger_g)}.")
        if state == Lot.State.USED_UP and on_hand_g:
            yield Problem(f"lot {code}", f"is used up and holds {_g(on_hand_g)}.")


def _running_balance() -> Iterator[Problem]:
    running = Window(Sum("mass_g"), partition_by=F("lot"), order_by=F("id").asc())
    rows = Movement.objects.order_by().annotate(running_g=running).exclude(on_hand_after_g=F("running_g"))
    for pk, code, after_g, running_g in rows.values_list("pk", "lot__code", "on_hand_after_g", "running_g"):
        yield Problem(
            f"movement {pk} of lot {code}",
            f"says {_g(after_g)} afterwards, the ledger up to it adds up to {_g(running_g)}.",
        )


def _materials() -> Iterator[Problem]:
    ledger = {
        pk: (mass_g, cost)
        for pk, mass_g, cost in Movement.objects.order_by()
        .values_list("material")
        .annotate(Sum("mass_g"), Sum("cost"))
    }
    promised = dict(Reservation.objects.order_by().values_list("material").annotate(Sum("mass_g")))
    for material in Material.objects.all():
        owned_g, value = ledger.get(material.pk, (NOUGHT, NOUGHT))
        reserved_g = promised.get(material.pk, NOUGHT)
        where = f"material {material.name}"
        if material.owned_g != owned_g:
            yield Problem(where, f"owns {_g(material.owned_g)}, its ledger adds up to {_g(owned_g)}.")
        if material.value != value:
            yield Problem(where, f"is worth {material.value}, its ledger adds up to {value}.")
        if material.reserved_g != reserved_g:
            said = f"has {_g(material.reserved_g)} promised, the promises add up to {_g(reserved_g)}."
            yield Problem(where, said)
        if material.value < 0 or (material.value and not material.owned_g):
            yield Problem(where, f"is worth {material.value} with {_g(material.owned_g)} owned.")


def _movements() -> Iterator[Problem]:
    for pk, code in Movement.objects.filter(~Q(material=F("lot__material"))).values_list("pk", "lot__code"):
        yield Problem(f"movement {pk}", f"is booked to another material than that of its lot {code}.")
    wrong = ill_reversed(Movement.objects.all(), "lot", opposite=("mass_g", "cost"))
    for pk, back in wrong.values_list("pk", "reverses"):
        yield Problem(f"movement {pk}", f"does not undo movement {back} exactly.")


def _g(mass_g: Decimal) -> str:
    return f"{words.number(mass_g, 3, least=0)}{words.GAP}g"
