"""The label paper in the drawer and the pail of sludge under the sink; measures are invented."""

from collections.abc import Iterator
from decimal import Decimal
from functools import partial
from typing import Any

from safety.models import Container, Label, Stock
from safety.operations.containers import add_container
from safety.operations.labels import apply_label
from safety.operations.stocks import add_stock
from studio.front.demo.cast import Cast, Event

DAY = "2025-10-06"
# name, paper, then mm as somebody measured them: width, height, columns, rows, left, top, gap across
STOCKS = (
    ("A4, 8 labels", Stock.Paper.A4, "99.1", "67.7", 2, 4, "4.7", "13.1", "2.5"),
    ("A4, 2 labels", Stock.Paper.A4, "199.6", "143.5", 1, 2, "5.2", "5.0", "0"),
    ("Roll of the label printer", Stock.Paper.ROLL, "102", "152", 1, 1, "0", "0", "0"),
)


def events(cast: Cast) -> Iterator[Event]:
    at = cast.at(DAY, "16:00")
    for row in STOCKS:
        yield at, partial(_stock, cast, *row)
    yield cast.at(DAY, "16:10"), partial(_sludge, cast)


def _stock(cast: Cast, name: str, paper: str, width: str, height: str, *told: Any) -> None:
    columns, rows, left, top, gap = told
    add_stock(
        name=name,
        paper=paper,
        width_mm=Decimal(width),
        height_mm=Decimal(height),
        columns=columns,
        rows=rows,
        left_mm=Decimal(left),
        top_mm=Decimal(top),
        gap_x_mm=Decimal(gap),
        by=cast.person("Bram"),
        at=cast.at(DAY, "16:00"),
    )


def _sludge(cast: Cast) -> None:
    """What the sink trap holds back goes into a pail that says so."""
    bram = cast.person("Bram")
    pail = add_container(
        kind=Container.Kind.WASTE,
        what="Sludge from the sink trap",
        capacity_l=Decimal(20),
        about="from every glaze that was washed off; stands under the sink",
        by=bram,
        at=cast.at(DAY, "16:10"),
    )
    label = Label.objects.get(on_kind=Container._meta.label_lower, on_id=pail.pk)
    apply_label(label=label, by=bram, at=cast.at(DAY, "16:12"))
