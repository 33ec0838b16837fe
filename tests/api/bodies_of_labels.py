"""Good requests for the acts on containers, lots and label paper."""

from typing import Any

from safety.operations.stocks import retire_stock
from tests import factories
from tests.api.asking import amount

Act = tuple[str, dict[str, Any]]
SIZES = {
    "name": "six on A4", "paper": "A4", "width_mm": 99, "height_mm": "93", "columns": 2, "rows": 3,
    "left_mm": 5, "top_mm": 8, "gap_x_mm": 2, "gap_y_mm": "1.5",
}  # fmt: skip


def acts() -> dict[str, Act]:
    """A tub and a second one that goes, a lot, paper in use and paper that is not."""
    lot = factories.MaterialFactory(name="Petalite").lots.get()
    tub, going = (factories.ContainerFactory(lot=lot) for _ in range(2))
    stock, retired = factories.StockFactory(), factories.StockFactory(name="Old roll")
    leaving = factories.StockFactory(name="Last box")
    retire_stock(stock=retired, by=factories.bram())
    tubs, paper = "containers/", "label-stocks/"
    decanted = {
        "kind": "tub",
        "lot": lot.pk,
        "what": "",
        "capacity_l": amount(2, "L"),
        "about": "batch 26-014",
    }
    return {
        "add_container": (f"{tubs}add-container/", decanted),
        "print_container_label": (f"{tubs}{tub.pk}/print-container-label/", {}),
        "container_gone": (f"{tubs}{going.pk}/container-gone/", {"how": "used up"}),
        "print_lot_label": (f"lots/{lot.pk}/print-lot-label/", {"capacity_l": amount(25, "L")}),
        "add_stock": (f"{paper}add-stock/", SIZES),
        "change_stock": (f"{paper}{stock.pk}/change-stock/", SIZES | {"name": "six, measured again"}),
        "retire_stock": (f"{paper}{leaving.pk}/retire-stock/", {}),
        "bring_back_stock": (f"{paper}{retired.pk}/bring-back-stock/", {}),
    }
