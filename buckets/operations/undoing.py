"""Taking back what care did: the row, what its act wrote with it, the powder of its lots, its additive."""

from datetime import datetime

from buckets.models import Care, Fill
from buckets.operations.additives import restate_additives
from buckets.operations.standing import STANDS
from studio.materials.operations import stock
from studio.people.models import Member

AS_TOLD = (
    "kind",
    "volume_l",
    "mass_g",
    "change_l",
    "change_g",
    "additive",
    "dose_pct",
    "stock_g_per_l",
    "how",
)


def undo(fill: Fill, care: Care, *, reason: str, by: Member, at: datetime) -> Care:
    """The row that reverses ``care``, and one for each of its parts that still stands."""
    rows = [care, *care.parts.filter(STANDS).order_by("id")]
    undone = [_reversal(fill, row, reason=reason, by=by, at=at) for row in rows]
    for row in rows:
        _powder_back(row, reason=reason, by=by, at=at)
    if care.kind == Care.Kind.ADDITIVE_IN:
        restate_additives(fill)
    return undone[0]


def _reversal(fill: Fill, care: Care, *, reason: str, by: Member, at: datetime) -> Care:
    told = {name: getattr(care, name) for name in AS_TOLD}
    return Care.objects.create(fill=fill, note=reason, reverses=care, by=by, at=at, **told)


def _powder_back(care: Care, *, reason: str, by: Member, at: datetime) -> None:
    """Powder weighed from lots goes back into their record, material by material."""
    lines = care.powder.select_related("movement__lot").order_by("movement__material_id", "id")
    for line in lines:
        stock.take_back(movement=line.movement, reason=reason, by=by, at=at)
