"""Label sheets and rolls, by sizes in mm as a person measured them: added, changed, retired, back in use."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from safety.labelling.sheets import MOST_ON_A_SHEET, grid_of
from safety.models import Stock
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room.operations.keeping import brought_back, free_name, retired, saved

LEAST_MM = Decimal(20)  # below, no QR code has room
NOUGHT = Decimal(0)


@act("label stock added")
def add_stock(
    *,
    name: str,
    paper: str,
    width_mm: Decimal,
    height_mm: Decimal,
    columns: int = 1,
    rows: int = 1,
    left_mm: Decimal = NOUGHT,
    top_mm: Decimal = NOUGHT,
    gap_x_mm: Decimal = NOUGHT,
    gap_y_mm: Decimal = NOUGHT,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Stock:
    """A kind of label sheet (A4, Letter) or a roll. All sizes in mm.

    ``left_mm``, ``top_mm``: from the paper's corner to the first label; ``gap_x_mm``, ``gap_y_mm``: between
    labels. Refused when the labels do not fit on the paper, or the name is taken.
    """
    refuse_unless(by, rights.BINDER)
    stock = Stock(name=free_name(Stock, name))
    return _save(
        stock,
        paper=paper,
        width_mm=width_mm,
        height_mm=height_mm,
        columns=columns,
        rows=rows,
        left_mm=left_mm,
        top_mm=top_mm,
        gap_x_mm=gap_x_mm,
        gap_y_mm=gap_y_mm,
    )


@act("label stock changed", about="stock")
def change_stock(
    *,
    stock: Stock,
    name: str,
    paper: str,
    width_mm: Decimal,
    height_mm: Decimal,
    columns: int = 1,
    rows: int = 1,
    left_mm: Decimal = NOUGHT,
    top_mm: Decimal = NOUGHT,
    gap_x_mm: Decimal = NOUGHT,
    gap_y_mm: Decimal = NOUGHT,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Stock:
    """Measured again: as ``add_stock``. Labels already printed stay as they are."""
    refuse_unless(by, rights.BINDER)
    stock = Stock.objects.select_for_update().get(pk=stock.pk)
    stock.name = free_name(Stock, name, but=stock.pk)
    return _save(
        stock,
        paper=paper,
        width_mm=width_mm,
        height_mm=height_mm,
        columns=columns,
        rows=rows,
        left_mm=left_mm,
        top_mm=top_mm,
        gap_x_mm=gap_x_mm,
        gap_y_mm=gap_y_mm,
    )


@act("label stock retired", about="stock")
def retire_stock(
    *, stock: Stock, by: Member, key: UUID | None = None, at: datetime | None = None, raw: str = ""
) -> Stock:
    """It is not offered for printing any more."""
    refuse_unless(by, rights.BINDER)
    return retired(Stock.objects.select_for_update().get(pk=stock.pk), at)


@act("label stock back in use", about="stock")
def bring_back_stock(
    *, stock: Stock, by: Member, key: UUID | None = None, at: datetime | None = None, raw: str = ""
) -> Stock:
    """It is offered again."""
    refuse_unless(by, rights.BINDER)
    return brought_back(Stock.objects.select_for_update().get(pk=stock.pk))


# --- inside


def _save(stock: Stock, **sizes: Decimal | int | str) -> Stock:
    for name, value in sizes.items():
        setattr(stock, name, value)
    if stock.paper not in Stock.Paper.values:
        raise Refused("Choose A4, Letter or a roll.", field="paper")
    for name in ("width_mm", "height_mm"):
        if getattr(stock, name) < LEAST_MM:
            raise Refused(f"A label is at least {LEAST_MM} mm wide and high.", field=name)
    if stock.columns < 1 or stock.rows < 1 or stock.columns * stock.rows > MOST_ON_A_SHEET:
        raise Refused(f"A sheet has 1 to {MOST_ON_A_SHEET} labels.", field="columns")
    if any(getattr(stock, name) < 0 for name in ("left_mm", "top_mm", "gap_x_mm", "gap_y_mm")):
        raise Refused("Margins and gaps are nothing or more.", field="left_mm")
    if problem := grid_of(stock).problem:
        raise Refused(problem, field="height_mm" if problem.startswith("Down") else "width_mm")
    return saved(stock)
