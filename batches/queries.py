"""What is asked about requests and batches."""

from dataclasses import dataclass
from decimal import Decimal

from batches.models import Batch, Request
from batches.planning import Plan
from studio.errors import Refused
from studio.materials.queries import NOUGHT, Standing, standing
from studio.quantities import rounded
from studio.words import grams, mass

CLOSED = (Batch.State.RELEASED, Batch.State.REJECTED, Batch.State.ABANDONED)
SHOWN = 200  # more at once than a room has under way
LAST = 40


@dataclass(frozen=True, kw_only=True)
class Stock:
    """How one material of a plan stands: grams needed over all its lines, available, short, and the cost."""

    material_id: int
    name: str
    need_g: Decimal
    available_g: Decimal
    quarantine_g: Decimal
    cost: Decimal

    @property
    def short_g(self) -> Decimal:
        """Grams that are missing; 0 when there is enough."""
        return max(self.need_g - max(self.available_g, NOUGHT), NOUGHT)

    @property
    def words(self) -> str:
        """Whether it is enough, in words."""
        if not self.short_g:
            return "enough"
        there = f"{mass(self.available_g)} available" if self.available_g > 0 else "none available"
        waiting = f"; {mass(self.quarantine_g)} in quarantine" if self.quarantine_g else ""
        return f"{grams(self.short_g)} short, {there}{waiting}"


@dataclass(frozen=True, kw_only=True)
class StockOfPlan:
    """The stock behind a plan: by material in the order of the lines, and its cost at moving average."""

    materials: tuple[Stock, ...]
    cost: Decimal
    cost_per_l: Decimal | None

    @property
    def short(self) -> list[Stock]:
        return [stock for stock in self.materials if stock.short_g]


class ShortOfStock(Refused):
    """Not enough in released lots that is not promised already; names every material and amount."""

    def __init__(self, short: list[Stock]) -> None:
        self.short = short
        said = "; ".join(
            f"{stock.name} is short by {grams(stock.short_g)} "
            f"({grams(stock.need_g)} needed, {mass(max(stock.available_g, NOUGHT))} available)"
            for stock in short
        )
        super().__init__(f"{said}. Release or receive a lot, or ask for less.")


@dataclass(frozen=True, kw_only=True)
class Making:
    """What the making page lists: requests that wait, batches under way, and what was finished last."""

    asked: list[Request]
    under_way: list[Batch]
    finished: list[Batch]
    refused: list[Request]


def making() -> Making:
    """Four queries; what is finished is shown to the last 40."""
    requests = Request.objects.select_related("version__recipe", "vessel", "by")
    batches = Batch.objects.select_related("vessel", "request__by")
    return Making(
        asked=list(requests.filter(state=Request.State.ASKED).order_by("wanted_on", "number")[:SHOWN]),
        under_way=list(batches.exclude(state__in=CLOSED)[:SHOWN]),
        finished=list(batches.filter(state__in=CLOSED)[:LAST]),
        refused=list(requests.filter(state__in=(Request.State.DECLINED, Request.State.WITHDRAWN))[:LAST]),
    )


def stock_of(plan: Plan) -> StockOfPlan:
    """Stock and cost of a plan: two queries, whatever the ledger's length."""
    needs: dict[int, Decimal] = {}
    names: dict[int, str] = {}
    for line in plan.lines:
        needs[line.material_id] = needs.get(line.material_id, NOUGHT) + line.target_g
        names.setdefault(line.material_id, line.name)
    stands = standing(needs)
    rows = tuple(_stock(pk, names[pk], need_g, stands[pk]) for pk, need_g in needs.items())
    cost = sum((row.cost for row in rows), NOUGHT)
    return StockOfPlan(
        materials=rows, cost=cost, cost_per_l=rounded(cost / plan.made_l, 4) if plan.made_l else None
    )


def refuse_short(plan: Plan) -> None:
    """Raise ShortOfStock when any line can't be reserved."""
    short = stock_of(plan).short
    if short:
        raise ShortOfStock(short)


def _stock(material_id: int, name: str, need_g: Decimal, stands: Standing) -> Stock:
    return Stock(
        material_id=material_id,
        name=name,
        need_g=need_g,
        available_g=stands.available_g,
        quarantine_g=stands.quarantine_g,
        cost=rounded(need_g * stands.unit_cost_per_g, 4),
    )
