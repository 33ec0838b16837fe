"""The ledger: powder leaves a lot and comes back, promises are kept. Called inside acts.

Balances on Lot and Material are written in the same transaction as the ledger, under the same locks:
material first, then lot. Money is the moving average over everything owned of a material.
"""

from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from studio import words
from studio.errors import Refused
from studio.materials.calc.costing import issue_cost
from studio.materials.models import Lot, Material, Movement, Reservation
from studio.people.models import Member
from studio.quantities import rounded


class ShortOf(Refused):
    """More was wanted than there is; carries the material, the lot (or None) and both amounts."""

    def __init__(
        self, material: Material, wanted_g: Decimal, there_g: Decimal, lot: Lot | None = None
    ) -> None:
        self.material, self.lot, self.wanted_g, self.there_g = material, lot, wanted_g, there_g
        there, wanted = said(max(there_g, Decimal(0))), said(wanted_g)
        missing = said(wanted_g - max(there_g, Decimal(0)))
        if lot is None:
            sentence = f"{material.name}: {wanted} wanted, {there} available. {missing} short."
        else:
            sentence = (
                f"Lot {lot.code} of {material.name} holds {there}, {wanted} were wanted: {missing} short. "
                "Take the rest from another lot, or correct the record of this one."
            )
        super().__init__(sentence)


class LotNotReleased(Refused):
    """The lot may not be weighed from as it stands."""

    def __init__(self, lot: Lot) -> None:
        self.lot = lot
        super().__init__(
            f"Lot {lot.code} of {lot.material.name} is {state_of(lot)}, so nothing may be weighed from it. "
            "Take a released lot."
        )


@transaction.atomic
def issue(
    lot: Lot, mass_g: Decimal, what: str, by: Member | None, at: datetime | None = None, raw: str = ""
) -> Movement:
    """``mass_g`` grams leave a released lot for ``what`` ("batch 26-014, line 3"), at the moving average.

    Several materials in one act: call in the order of their numbers. Refused LotNotReleased, ShortOf.
    """
    if mass_g <= 0:
        raise Refused("The weight must be more than 0 g.")
    material, lot = locked(lot)
    if lot.state != Lot.State.RELEASED:
        raise LotNotReleased(lot)
    if mass_g > lot.on_hand_g:
        raise ShortOf(material, mass_g, lot.on_hand_g, lot)
    cost = cost_of(material, mass_g)
    return move(material, lot, Movement.Kind.WEIGHED, -mass_g, -cost, by=by, at=at, what=what, raw=raw)


@transaction.atomic
def take_back(
    movement: Movement, reason: str, by: Member | None, at: datetime | None = None, raw: str = ""
) -> Movement:
    """The reversal of a movement: the same mass and money the other way.

    What came in can only be taken back while nothing of the material has moved since, because later
    costs were reckoned with it. A lot that was used up meanwhile is released again.
    """
    material, lot = locked(movement.lot)
    if movement.reverses_id is not None:
        raise Refused("This line takes another back, so it can't be taken back itself.")
    if Movement.objects.filter(reverses=movement).exists():
        raise Refused("This was taken back already.")
    if (
        movement.mass_g >= 0
        and material.movements.order_by("-id").values_list("id", flat=True)[0] != movement.pk
    ):
        raise Refused(f"{material.name} has moved since. Correct the stock of lot {lot.code} instead.")
    if lot.state == Lot.State.USED_UP:
        set_state(lot, Lot.State.RELEASED)
    return move(
        material,
        lot,
        movement.kind,
        -movement.mass_g,
        -movement.cost,
        by=by,
        at=at,
        what=movement.what,
        reason=reason,
        raw=raw,
        reverses=movement,
    )


@transaction.atomic
def reserve(
    material: Material, mass_g: Decimal, what: str, line: str, by: Member | None, at: datetime | None = None
) -> Reservation:
    """Promise ``mass_g`` grams of a material to a line of ``what`` ("batch 26-014"); negative frees.

    Refused ShortOf when less is available (in released lots and not promised), and when more would be
    freed than the line was promised. Several materials in one act: call in the order of their numbers.
    """
    material = Material.objects.select_for_update().get(pk=material.pk)
    if mass_g > 0:
        available_g = usable_of(material) - material.reserved_g
        if mass_g > available_g:
            raise ShortOf(material, mass_g, available_g)
    elif -mass_g > (held := promised_to(material, what, line)):
        raise Refused(
            f"{what}, line {line} was promised {said(held)} of {material.name}, no more can be freed."
        )
    material.reserved_g += mass_g
    material.save(update_fields=["reserved_g"])
    return Reservation.objects.create(
        material=material, mass_g=mass_g, what=what, line=line, by=by, at=at or timezone.now()
    )


def usable_of(material: Material) -> Decimal:
    """Grams in the released lots of one material."""
    lots = Lot.objects.filter(material=material, state=Lot.State.RELEASED)
    return lots.aggregate(total=Sum("on_hand_g"))["total"] or Decimal(0)


def promised_to(material: Material, what: str, line: str) -> Decimal:
    """Grams of a material still promised to one line."""
    rows = Reservation.objects.filter(what=what, material=material, line=line)
    return rows.aggregate(total=Sum("mass_g"))["total"] or Decimal(0)


# --- for the acts on lots ------------------------------------------------------------------------------


def locked(lot: Lot) -> tuple[Material, Lot]:
    """Material and lot as they stand, locked in this order: two takers of a last kilogram queue here."""
    material = Material.objects.select_for_update().get(pk=lot.material_id)
    fresh = Lot.objects.select_for_update().get(pk=lot.pk)
    fresh.material = material
    return material, fresh


def move(
    material: Material,
    lot: Lot,
    kind: str,
    mass_g: Decimal,
    cost: Decimal,
    *,
    by: Member | None,
    at: datetime | None,
    what: str = "",
    reason: str = "",
    raw: str = "",
    reverses: Movement | None = None,
) -> Movement:
    """One line of the ledger, and the balances beside it. Material and lot are locked."""
    lot.on_hand_g += mass_g
    lot.save(update_fields=["on_hand_g"])
    material.owned_g += mass_g
    material.value += cost
    material.save(update_fields=["owned_g", "value"])
    return Movement.objects.create(
        lot=lot,
        material=material,
        kind=kind,
        mass_g=mass_g,
        cost=cost,
        on_hand_after_g=lot.on_hand_g,
        what=what,
        reason=reason,
        raw=raw,
        reverses=reverses,
        by=by,
        at=at or timezone.now(),
    )


def worth_at_price(mass_g: Decimal, price_per_kg: Decimal) -> Decimal:
    """What so many grams cost at a price per kilogram."""
    return rounded(mass_g * price_per_kg / 1000, 4)


def cost_of(material: Material, mass_g: Decimal) -> Decimal:
    """What so many grams of a material leave with, at the moving average."""
    return issue_cost(value=material.value, on_hand_g=material.owned_g, issued_g=mass_g)


def worth_of_found(material: Material, lot: Lot, mass_g: Decimal) -> Decimal:
    """What found powder enters with: the moving average, or its lot's price when nothing is owned."""
    if material.owned_g > 0:
        return rounded(material.value * mass_g / material.owned_g, 4)
    return worth_at_price(mass_g, lot.price_per_kg)


def set_state(lot: Lot, state: Lot.State) -> Lot:
    """The lot in its new state. It is locked."""
    lot.state = state
    lot.save(update_fields=["state"])
    return lot


def state_of(lot: Lot) -> str:
    """The state as a sentence says it."""
    return "in quarantine" if lot.state == Lot.State.QUARANTINE else str(lot.state)


def said(mass_g: Decimal) -> str:
    """Grams or kilograms; a difference too small for that to the milligram."""
    if 0 < abs(mass_g) < 1:
        return f"{words.number(mass_g, 3, least=0)}{words.GAP}g"
    return words.mass(mass_g)
