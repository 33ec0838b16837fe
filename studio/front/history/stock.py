"""The ledger in bulk: deliveries, pots of powder, what was left of a lot; balances carried along."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from studio.front.history.sheets import Sheet
from studio.materials.models import Lot, Material, Movement
from studio.materials.operations.stock import lot_prefix

DELIVERY_MG = 50_000_000  # two bags
PRICE = 12_000  # ten-thousandths for a kilogram


@dataclass(slots=True)
class Owned:
    """A material and the lot it is weighed from now: mg, and money in ten-thousandths."""

    pk: int
    name: str
    owned: int = 0
    value: int = 0
    lot: int = 0
    code: str = ""
    on_hand: int = 0
    came: date | None = None
    lots: int = 0


class Stock:
    """Every material's balances; ``take`` is a pot of powder, with a delivery first when it runs short."""

    def __init__(self, materials: list[Material]) -> None:
        self.movements = Sheet(
            Movement, "id lot_id material_id kind mass_g cost on_hand_after_g what by_id at entered_at"
        )
        self.lots = Sheet(Lot, "id code material_id supplier received_on price_per_kg state on_hand_g")
        self.owned = {m.pk: Owned(m.pk, m.name) for m in materials}

    def take(self, material: int, mg: int, what: str, by: int, at: Any, day: date) -> tuple[int, int]:
        """``mg`` leave for ``what``; the keys of the movement and the lot."""
        own = self.owned[material]
        if own.on_hand < mg:
            self.deliver(material, by, at, day)
        cost = own.value if mg == own.owned else own.value * mg // own.owned
        return self._move(own, "weighed", -mg, -cost, what, by, at), own.lot

    def deliver(self, material: int, by: int, at: Any, day: date) -> None:
        """The lot in use is used up, what is left of it written off; another one comes."""
        own = self.owned[material]
        if own.lot and own.on_hand:
            cost = own.value if own.on_hand == own.owned else own.value * own.on_hand // own.owned
            self._move(own, "written off", -own.on_hand, -cost, "", by, at)
        self._put_down(own, Lot.State.USED_UP)
        own.lots += 1
        own.lot, own.code, own.came = self.lots.number(), f"{lot_prefix(own.name)}{own.pk}-{own.lots}", day
        own.on_hand = 0
        self._move(own, "received", DELIVERY_MG, DELIVERY_MG * PRICE // 1_000_000, "", by, at)

    def _move(self, own: Owned, kind: str, mg: int, cost: int, what: str, by: int, at: Any) -> int:
        own.on_hand += mg
        own.owned += mg
        own.value += cost
        pk = self.movements.number()
        self.movements.add(pk, own.lot, own.pk, kind, mg, cost, own.on_hand, what, by, at, at)
        return pk

    def _put_down(self, own: Owned, state: str) -> None:
        if own.lot:
            price = PRICE
            self.lots.add(own.lot, own.code, own.pk, "Tollgate Minerals", own.came, price, state, own.on_hand)

    def close(self, by: int, at: Any, day: date) -> None:
        """A fresh lot of everything, so that there is something to plan with; balances are written."""
        for own in self.owned.values():
            self.deliver(own.pk, by, at, day)
            self._put_down(own, Lot.State.RELEASED)
        self.lots.write()
        self.movements.write()
        materials = Material.objects.in_bulk(list(self.owned))
        for own in self.owned.values():
            row = materials[own.pk]
            row.owned_g = Material._meta.get_field("owned_g").from_db_value(own.owned, None, None)
            row.value = Material._meta.get_field("value").from_db_value(own.value, None, None)
        Material.objects.bulk_update(materials.values(), ["owned_g", "value"])
