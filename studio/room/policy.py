"""The studio's own rules: numbers a technician may set, each with a default and its reason."""

from dataclasses import dataclass, fields
from decimal import Decimal

from studio.prepared import Prepared
from studio.room.models import PolicyChange


@dataclass(frozen=True, kw_only=True)
class Policy:
    """Rules in force. Defaults are common practice, no source, unless said otherwise."""

    fill_limit_pct: Decimal = Decimal(85)
    hold_back_pct: Decimal = Decimal(12)
    reading_valid_days: Decimal = Decimal(7)
    member_reading_valid_days: Decimal = Decimal(2)
    settles_min: Decimal = Decimal(5)
    smallest_divisions: Decimal = Decimal(82)  # USP <41> form (0.41 d x 2 / 1 %), secondary page opened
    load_margin_g: Decimal = Decimal(100)
    yield_low_pct: Decimal = Decimal(95)
    yield_high_pct: Decimal = Decimal(102)
    repeatability: Decimal = Decimal("0.01")
    bed_solids_pct: Decimal = Decimal(30)  # 30 flocculated to 50 dispersed: the loose bed promises least water
    answer_within_days: Decimal = Decimal(2)
    strangers_reports_per_hour: Decimal = Decimal(6)
    open_bucket_pages: Decimal = Decimal(1)  # 1: a scanned bucket opens without signing in


WORDS: dict[str, tuple[str, str]] = {
    # name: (what it is, unit)
    "fill_limit_pct": ("Fill a bucket at most to", "% of the brim"),
    "hold_back_pct": ("Hold back from the first water", "%"),
    "reading_valid_days": ("A technician's reading counts for", "days"),
    "member_reading_valid_days": ("A member's reading counts for", "days"),
    "settles_min": ("Unless the recipe says otherwise a glaze settles in", "min"),
    "smallest_divisions": ("Smallest sensible weight", "divisions of the scale"),
    "load_margin_g": ("Keep free on the scale for the pot and the last scoop", "g"),
    "yield_low_pct": ("Ask about a yield under", "%"),
    "yield_high_pct": ("Ask about a yield over", "%"),
    "repeatability": ("Two readings of one stir agree within", "SG"),
    "bed_solids_pct": ("Powder in the bed that settles overnight", "% of the bed's volume"),
    "answer_within_days": ("Answer a report within", "days"),
    "strangers_reports_per_hour": ("Reports without a name from one address count up to", "an hour"),
    "open_bucket_pages": ("A scanned bucket opens without signing in (1 yes, 0 no)", ""),
}


def in_force() -> Policy:
    """The rules as they stand now: one query."""
    newest: dict[str, Decimal] = {}
    known = {f.name for f in fields(Policy)}
    for name, value in CHANGES.rows():
        if name in known:
            newest[name] = Decimal(value)
    return Policy(**newest)


CHANGES = Prepared(lambda: PolicyChange.objects.order_by("id").values_list("name", "value"))
