"""The studio's own rules: each change is one more row, the newest is in force."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act, plain
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room.models import PolicyChange
from studio.room.policy import WORDS, in_force


@dataclass(frozen=True)
class Bounds:
    """Between what a rule may lie, both included, and to how many decimals."""

    low: Decimal
    high: Decimal
    places: int = 0

    def refuse(self, value: Decimal, unit: str) -> None:
        if not self.low <= value <= self.high:
            span = f"{plain(self.low)} and {plain(self.high)} {unit}".strip()
            raise Refused(f"This rule lies between {span}.", field="value")


def _between(low: str, high: str, places: int = 0) -> Bounds:
    return Bounds(Decimal(low), Decimal(high), places)


# Wide enough for any room, narrow enough to catch a slip of the finger; common practice, no source.
BOUNDS: dict[str, Bounds] = {
    "fill_limit_pct": _between("30", "98", 1),
    "hold_back_pct": _between("0", "50", 1),
    "reading_valid_days": _between("1", "60"),
    "member_reading_valid_days": _between("0", "30"),
    "heavy_use_l": _between("0", "100", 1),
    "heavy_use_valid_days": _between("1", "60"),
    "flow_within_pct": _between("1", "50", 1),
    "keep_depth_cm": _between("0", "60", 1),
    "settling_loss_pct": _between("1", "50", 1),
    "settling_clear_mm": _between("1", "50", 1),
    "piece_area_cm2": _between("10", "10000"),
    "piece_ml": _between("1", "5000"),
    "cup_ml": _between("10", "5000"),
    "settles_min": _between("1", "240", 1),
    "smallest_divisions": _between("20", "1000"),
    "load_margin_g": _between("0", "5000", 1),
    "yield_low_pct": _between("50", "100", 1),
    "yield_high_pct": _between("100", "150", 1),
    "calibration_days": _between("30", "3650"),
    "repeatability": _between("0.001", "0.1", 4),
    "bed_solids_pct": _between("20", "60", 1),
    "answer_within_days": _between("1", "60"),
    "strangers_reports_per_hour": _between("1", "1000"),
    "label_expires_h": _between("1", "720"),
    "coat_solids_pct": _between("35", "70", 1),
    "sheet_current_years": _between("1", "10"),
    "sheet_missing_years": _between("1", "20"),
    "cleaning_days": _between("1", "31"),
    "filter_days": _between("1", "365"),
    "extraction_days": _between("1", "365"),
    "trap_days": _between("1", "90"),
    "respirator_days": _between("1", "730"),
    "leach_months": _between("1", "120"),
    "open_bucket_pages": _between("0", "1"),
}


def bounds_of(name: str) -> Bounds:
    """What a rule may be; a rule without an entry takes any number from 0 up."""
    return BOUNDS.get(name, _between("0", "1000000", 4))


@act("rule changed")
def set_policy(
    *,
    name: str,
    value: Decimal,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> PolicyChange:
    """From now on the rule ``name`` is ``value``, in the unit the room's page shows.

    Refused for an unknown rule, a value outside what it may be, and the value already in force.
    """
    refuse_unless(by, rights.ROOM)
    if name not in WORDS:
        raise Refused("There is no such rule.", field="name")
    bounds_of(name).refuse(value, WORDS[name][1])
    if value == getattr(in_force(), name):
        raise Refused("That is the rule already.", field="value")
    when = {"at": at} if at else {}
    return PolicyChange.objects.create(name=name, value=plain(value), by=by, raw=raw, **when)
