"""A large studio for measuring: written in bulk, as the acts would have left it, and the same each time.

``manage.py prove`` agrees with every row. Its journal tells of sheets, readings and pourings alone, its
labels say nothing but their serial, its sheets have no files. The newest rounds are the same however many
years lie before them.
"""

from datetime import datetime, timedelta
from decimal import Decimal

from django.db import transaction

from batches.models import Request
from batches.operations.requests import approve_request, ask_for_glaze
from buckets.operations import intervals
from studio.front.history import shelf
from studio.front.history.beginning import Studio, begin
from studio.front.history.cycle import cycle_of
from studio.front.history.making import Making
from studio.front.history.sheets import Sheet, go_on_after, moment
from studio.front.history.stock import Stock
from studio.materials.models import Material

READINGS_A_YEAR = 20_000  # and five times as many lines of the ledger
POURING = 32  # of the 64 vessels are brought up again and again, the others keep one fill throughout


@transaction.atomic
def fill(now: datetime, years: float, scale: float = 1) -> dict[str, int]:
    """Write ``years`` of history ending ``now`` into an empty database; how many rows each table got."""
    now = now.replace(second=0, microsecond=0)
    studio = begin(now - timedelta(days=365.25 * years + 30), now)
    stock = Stock(list(Material.objects.all()))
    making = Making(stock, studio.technicians, studio.members)
    shelves = shelf.Shelf(making)
    _rounds(studio, shelves, now, years, scale)
    shelves.close()
    making.close()
    stock.close(studio.technicians[0].pk, moment(now), now.date())
    sheets = [*shelves.sheets(), *making.sheets(), stock.lots, stock.movements]
    go_on_after(sheets)
    intervals.write_all()
    _requests(studio, now)
    return _counted(sheets)


def _rounds(studio: Studio, shelves: shelf.Shelf, now: datetime, years: float, scale: float) -> None:
    """Round after round at every bucket, oldest first, so that ledger and lineage grow in order."""
    readings = round(READINGS_A_YEAR * years * scale)
    count = shelf.rounds(readings, len(studio.vessels), POURING)
    apart = shelf.spacing(years, count)
    cycles = {}
    for vessel, version in zip(studio.vessels, studio.versions, strict=False):
        cycles[vessel.pk] = cycle_of(version, vessel, studio.scales)
        shelves.find(vessel, cycles[vessel.pk], now - (count + 1) * apart)
    for k in range(count - 1, -1, -1):
        for n, vessel in enumerate(studio.vessels):
            at = now - k * apart - timedelta(minutes=20 + 7 * n)
            shelves.step(vessel, k, at, pours=n < POURING)


def _requests(studio: Studio, now: datetime) -> None:
    """Some that wait and some that are approved, by the acts, so that every page has something to show."""
    for n in range(12):
        request = ask_for_glaze(
            version=studio.versions[n],
            wish=Request.Wish.LITRES,
            litres=Decimal(6),
            why="for the next firing",
            by=studio.members[n],
            at=now - timedelta(hours=n + 2),
        )
        if n % 2:
            approve_request(request=request, by=studio.technicians[0], at=now - timedelta(hours=1))


def _counted(sheets: list[Sheet]) -> dict[str, int]:
    return {sheet.model._meta.label_lower: sheet.count for sheet in sheets}
