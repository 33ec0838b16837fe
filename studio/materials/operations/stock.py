"""Lots: received, released or rejected, corrected, used up. The ledger under them is in ledger.py."""

import re
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from studio.errors import Refused
from studio.materials.models import Lot, Material, Movement
from studio.materials.operations.ledger import (
    LotNotReleased,
    ShortOf,
    cost_of,
    issue,
    locked,
    move,
    reserve,
    said,
    set_state,
    state_of,
    take_back,
    worth_at_price,
    worth_of_found,
)
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member

__all__ = [
    "LotNotReleased",
    "ShortOf",
    "change_lot",
    "correct_price",
    "correct_stock",
    "issue",
    "quarantine_lot",
    "receive_lot",
    "reject_lot",
    "release_lot",
    "reserve",
    "take_back",
    "take_in",
    "use_up_lot",
]

LOT_CODE = r"[A-Za-z0-9][A-Za-z0-9._-]{0,19}"


# --- lots ---------------------------------------------------------------------------------------------


@act("lot received")
def receive_lot(
    *,
    material: Material,
    mass_g: Decimal,
    code: str = "",
    price_per_kg: Decimal = Decimal(0),
    supplier: str = "",
    supplier_lot: str = "",
    received_on: date | None = None,
    state: str = Lot.State.QUARANTINE,
    note: str = "",
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Lot:
    """A delivery becomes a lot: ``mass_g`` grams at ``price_per_kg``, in quarantine unless said otherwise.

    An empty ``code`` takes the next of the material's own ("PF-3"). Refused when the material is
    discontinued, the code is taken or unfit, or the amount is not above 0.
    """
    refuse_unless(by, rights.STORE)
    material = Material.objects.select_for_update().get(pk=material.pk)
    if material.state == Material.State.ENDED:
        raise Refused(f"{material.name} is discontinued. Bring it back first if more of it has come.")
    return take_in(
        material,
        Movement.Kind.RECEIVED,
        mass_g,
        price_per_kg,
        {
            "code": code,
            "supplier": supplier,
            "supplier_lot": supplier_lot,
            "received_on": received_on or timezone.localdate(at),
            "state": state,
            "note": note,
        },
        by=by,
        at=at,
        raw=raw,
    )


def take_in(
    material: Material,
    kind: str,
    mass_g: Decimal,
    price_per_kg: Decimal,
    lot_fields: dict[str, Any],
    *,
    by: Member | None,
    at: datetime | None,
    raw: str,
) -> Lot:
    """A new lot of a locked material with its first movement. Called inside acts."""
    if mass_g <= 0:
        raise Refused("The amount must be more than 0 g.", field="mass_g")
    if price_per_kg < 0:
        raise Refused("The price can't be less than 0.", field="price_per_kg")
    if lot_fields["state"] not in (Lot.State.QUARANTINE, Lot.State.RELEASED):
        raise Refused("A new lot is in quarantine or released.", field="state")
    code = lot_fields["code"] or _next_code(material)
    _refuse_unfit_code(code)
    try:
        with transaction.atomic():
            lot = Lot.objects.create(
                material=material, price_per_kg=price_per_kg, **{**lot_fields, "code": code}
            )
    except IntegrityError as error:
        raise _code_taken(code) from error
    move(material, lot, kind, mass_g, worth_at_price(mass_g, price_per_kg), by=by, at=at, raw=raw)
    return lot


@act("lot released", about="lot")
def release_lot(
    *, lot: Lot, by: Member | None, key: UUID | None = None, at: datetime | None = None, raw: str = ""
) -> Lot:
    """A lot leaves quarantine and may be weighed from."""
    refuse_unless(by, rights.STORE)
    _, lot = locked(lot)
    _refuse_state(lot, (Lot.State.QUARANTINE,), "Only a lot in quarantine can be released.")
    return set_state(lot, Lot.State.RELEASED)


@act("lot put in quarantine", about="lot")
def quarantine_lot(
    *,
    lot: Lot,
    reason: str,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Lot:
    """A released lot goes back into quarantine: damp, caked, doubtful."""
    refuse_unless(by, rights.STORE)
    _, lot = locked(lot)
    _refuse_state(lot, (Lot.State.RELEASED,), "Only a released lot can go back into quarantine.")
    return set_state(lot, Lot.State.QUARANTINE)


@act("lot rejected", about="lot")
def reject_lot(
    *,
    lot: Lot,
    reason: str,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Lot:
    """A lot is not fit to use. It stays owned and in the record until it is written off."""
    refuse_unless(by, rights.STORE)
    _, lot = locked(lot)
    _refuse_state(
        lot,
        (Lot.State.QUARANTINE, Lot.State.RELEASED),
        "Only a lot in quarantine or released can be rejected.",
    )
    return set_state(lot, Lot.State.REJECTED)


@act("lot used up", about="lot")
def use_up_lot(
    *,
    lot: Lot,
    reason: str,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Lot:
    """A released lot is empty: what the record still says is written off with its money."""
    refuse_unless(by, rights.STORE)
    material, lot = locked(lot)
    _refuse_state(lot, (Lot.State.RELEASED,), "Only a released lot can be used up.")
    if lot.on_hand_g > 0:
        left, cost = lot.on_hand_g, cost_of(material, lot.on_hand_g)
        move(material, lot, Movement.Kind.WRITTEN_OFF, -left, -cost, by=by, at=at, reason=reason, raw=raw)
    return set_state(lot, Lot.State.USED_UP)


@act("stock corrected", about="lot")
def correct_stock(
    *,
    lot: Lot,
    to_g: Decimal,
    reason: str,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Movement:
    """The record of a lot was wrong: one more movement makes it say ``to_g`` grams.

    While nothing of the material has moved since the lot came, the delivery was typed wrong and its own
    price holds. Later, what is missing leaves at the moving average and what was found enters at it (at
    the lot's price when nothing else is owned). A used-up lot that turns out to hold something is released.
    """
    refuse_unless(by, rights.STORE)
    material, lot = locked(lot)
    if to_g < 0:
        raise Refused("A lot can't hold less than 0 g.", field="to_g")
    change = to_g - lot.on_hand_g
    if change == 0:
        raise Refused(f"The record already says {said(to_g)}. Nothing to correct.", field="to_g")
    if lot.state == Lot.State.USED_UP:
        set_state(lot, Lot.State.RELEASED)
    cost = _cost_of_change(material, lot, to_g)
    return move(material, lot, Movement.Kind.CORRECTED, change, cost, by=by, at=at, reason=reason, raw=raw)


def _cost_of_change(material: Material, lot: Lot, to_g: Decimal) -> Decimal:
    last = material.movements.order_by("-id").first()
    came_in = (Movement.Kind.RECEIVED, Movement.Kind.OPENING)
    if last and last.lot_id == lot.pk and last.kind in came_in and last.reverses_id is None:
        return worth_at_price(to_g, lot.price_per_kg) - last.cost
    change = to_g - lot.on_hand_g
    return -cost_of(material, -change) if change < 0 else worth_of_found(material, lot, change)


@act("price corrected", about="lot")
def correct_price(
    *,
    lot: Lot,
    price_per_kg: Decimal,
    reason: str,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Movement:
    """The price of a lot was wrong: what is still in it is worth more or less from now on.

    What was weighed from it before keeps its cost. The worth of a material never falls below 0.
    """
    refuse_unless(by, rights.STORE)
    material, lot = locked(lot)
    if price_per_kg < 0:
        raise Refused("The price can't be less than 0.", field="price_per_kg")
    if price_per_kg == lot.price_per_kg:
        raise Refused("That is the price the record already has.", field="price_per_kg")
    change = worth_at_price(lot.on_hand_g, price_per_kg - lot.price_per_kg)
    lot.price_per_kg = price_per_kg
    lot.save(update_fields=["price_per_kg"])
    cost = max(change, -material.value)
    kind = Movement.Kind.CORRECTED
    return move(material, lot, kind, Decimal(0), cost, by=by, at=at, reason=reason, raw=raw)


@act("lot details changed", about="lot")
def change_lot(
    *,
    lot: Lot,
    supplier: str,
    supplier_lot: str,
    received_on: date,
    note: str,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Lot:
    """Supplier, the supplier's own lot number, day and note of a lot; amounts have acts of their own."""
    refuse_unless(by, rights.STORE)
    lot = Lot.objects.select_for_update().get(pk=lot.pk)
    lot.supplier, lot.supplier_lot, lot.received_on, lot.note = supplier, supplier_lot, received_on, note
    lot.save(update_fields=["supplier", "supplier_lot", "received_on", "note"])
    return lot


# --- inside -------------------------------------------------------------------------------------------


def _refuse_state(lot: Lot, wanted: tuple[str, ...], rule: str) -> None:
    if lot.state not in wanted:
        raise Refused(f"Lot {lot.code} is {state_of(lot)}. {rule}")


def _refuse_unfit_code(code: str) -> None:
    if not re.fullmatch(LOT_CODE, code):
        raise Refused(
            "A lot code is at most 20 letters, digits, points and dashes, like PF-12. "
            "Put the supplier's own number beside it.",
            field="code",
        )
    if Lot.objects.filter(code__iexact=code).exists():
        raise _code_taken(code)


def _code_taken(code: str) -> Refused:
    return Refused(f"There is a lot {code} already. Give this one another code.", field="code")


def _next_code(material: Material) -> str:
    """The next free code of the material's own series: "PF-3" for Potash feldspar."""
    prefix = lot_prefix(material.name)
    while True:
        code = f"{prefix}-{take_number(f'lot {prefix}')}"
        if not Lot.objects.filter(code__iexact=code).exists():
            return code


def lot_prefix(name: str) -> str:
    """Two letters for a material: the initials of its first two words, or the first two of its only one."""
    parts = re.findall(r"[A-Za-z0-9]+", name.upper()) or ["LOT"]
    return parts[0][0] + parts[1][0] if len(parts) > 1 else parts[0][:2]
