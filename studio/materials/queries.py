"""What is asked of the store."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from django.db.models import IntegerField, QuerySet, Sum

from studio.materials.models import Lot, Material, Movement, Reservation
from studio.prepared import Prepared

NOUGHT = Decimal(0)
MOST_SHOWN = 40


@dataclass(frozen=True, kw_only=True)
class Standing:
    """Grams of one material, and what a gram costs.

    ``usable_g`` is in released lots; ``available_g`` is that less what is promised, and below 0 when
    more is promised than there is.
    """

    usable_g: Decimal = NOUGHT
    reserved_g: Decimal = NOUGHT
    quarantine_g: Decimal = NOUGHT
    unit_cost_per_g: Decimal = NOUGHT

    @property
    def available_g(self) -> Decimal:
        return self.usable_g - self.reserved_g


def standing(material_ids: Iterable[int]) -> dict[int, Standing]:
    """How each of these materials stands: two queries, however long the ledger is."""
    wanted = sorted(set(material_ids))
    if not wanted:
        return {}
    in_state: dict[tuple[int, str], Decimal] = {}
    in_lots, kept = _standing_of(len(wanted))
    ids = {f"m{n}": number for n, number in enumerate(wanted)}
    for number, state, total in in_lots.rows(**ids):
        in_state[number, state] = total
    return {
        number: Standing(
            usable_g=in_state.get((number, Lot.State.RELEASED), NOUGHT),
            quarantine_g=in_state.get((number, Lot.State.QUARANTINE), NOUGHT),
            reserved_g=reserved_g,
            unit_cost_per_g=value / owned_g if owned_g else NOUGHT,
        )
        for number, owned_g, reserved_g, value in kept.rows(**ids)
    }


@cache
def _standing_of(count: int) -> tuple[Prepared, Prepared]:
    """The two queries of ``standing`` for that many materials."""
    states = (Lot.State.RELEASED, Lot.State.QUARANTINE)
    places = {f"m{n}": IntegerField() for n in range(count)}
    in_lots = Prepared(
        lambda **ids: (
            Lot.objects.filter(material__in=list(ids.values()), state__in=states)
            .order_by()
            .values_list("material", "state")
            .annotate(Sum("on_hand_g"))
        ),
        **places,
    )
    kept = Prepared(
        lambda **ids: (
            Material.objects.filter(pk__in=list(ids.values()))
            .order_by()
            .values_list("id", "owned_g", "reserved_g", "value")
        ),
        **places,
    )
    return in_lots, kept


def reserved_for(what: str) -> dict[tuple[int, str], Decimal]:
    """Grams still promised to ``what`` ("batch 26-014"), by material and line; nothing is left out at 0."""
    rows = Reservation.objects.filter(what=what).order_by().values_list("material", "line")
    return {(number, line): total for number, line, total in rows.annotate(Sum("mass_g")) if total}


def released_lots(material: Material) -> QuerySet[Lot]:
    """Lots that may be weighed from and hold something, the oldest first."""
    return material.lots.filter(state=Lot.State.RELEASED, on_hand_g__gt=0).order_by("received_on", "id")


def lots_of(material: Material) -> list[Lot]:
    """The lots of a material: those that hold something first, then the newest; at most 40."""
    return list(material.lots.order_by("-on_hand_g", "-received_on", "-id")[:MOST_SHOWN])


def ledger_of(*, material: Material | None = None, lot: Lot | None = None) -> list[Movement]:
    """The 40 newest lines of a material's or a lot's ledger, the newest first."""
    wanted = {"lot": lot} if lot is not None else {"material": material}
    rows = Movement.objects.filter(**wanted).select_related("lot", "by", "reversed_by").order_by("-id")
    return list(rows[:MOST_SHOWN])
