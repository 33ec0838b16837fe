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
    heavy_use_l: Decimal = Decimal(2)
    heavy_use_valid_days: Decimal = Decimal(2)
    flow_within_pct: Decimal = Decimal(10)
    keep_depth_cm: Decimal = Decimal(10)
    settles_min: Decimal = Decimal(5)
    settling_loss_pct: Decimal = Decimal(10)
    settling_clear_mm: Decimal = Decimal(5)
    piece_area_cm2: Decimal = Decimal(430)  # a mug in and out, invented example of a dipped piece
    piece_ml: Decimal = Decimal(50)
    cup_ml: Decimal = Decimal(250)
    coat_solids_pct: Decimal = Decimal(50)  # illustrative; a tile's weight and thickness tell a glaze's own
    smallest_divisions: Decimal = Decimal(82)  # USP <41> form (0.41 d x 2 / 1 %), secondary page opened
    load_margin_g: Decimal = Decimal(100)
    yield_low_pct: Decimal = Decimal(95)
    yield_high_pct: Decimal = Decimal(102)
    repeatability: Decimal = Decimal("0.01")
    calibration_days: Decimal = Decimal(365)
    bed_solids_pct: Decimal = Decimal(
        30
    )  # 30 flocculated to 50 dispersed: the loose bed promises least water
    answer_within_days: Decimal = Decimal(2)
    strangers_reports_per_hour: Decimal = Decimal(6)
    label_expires_h: Decimal = Decimal(24)
    sheet_current_years: Decimal = Decimal(3)
    sheet_missing_years: Decimal = Decimal(5)
    cleaning_days: Decimal = Decimal(1)
    filter_days: Decimal = Decimal(30)
    extraction_days: Decimal = Decimal(30)
    trap_days: Decimal = Decimal(7)
    respirator_days: Decimal = Decimal(365)
    leach_months: Decimal = Decimal(24)
    open_bucket_pages: Decimal = Decimal(1)  # 1: a scanned bucket opens without signing in


WORDS: dict[str, tuple[str, str]] = {
    # name: (what it is, unit)
    "fill_limit_pct": ("Fill a bucket at most to", "% of the brim"),
    "hold_back_pct": ("Hold back from the first water", "%"),
    "reading_valid_days": ("A technician's reading counts for", "days"),
    "member_reading_valid_days": ("A member's reading counts for", "days"),
    "heavy_use_l": ("A reading counts for a shorter time once more than this was used since", "L"),
    "heavy_use_valid_days": ("Then it counts for", "days"),
    "flow_within_pct": ("Flow stays within this of the bucket's own reference", "% of the seconds"),
    "keep_depth_cm": ("Too shallow to dip under", "cm of glaze"),
    "settles_min": ("Unless the recipe says otherwise a glaze settles in", "min"),
    "settling_loss_pct": ("Stir again when so much of the solids has left dip depth", "%"),
    "settling_clear_mm": ("Stir again when a jar shows a clear layer of", "mm"),
    "piece_area_cm2": ("A usual piece, glazed area", "cm²"),
    "piece_ml": ("A usual piece takes about, where no tile says better", "mL"),
    "cup_ml": ("A cup of glaze is about", "mL"),
    "coat_solids_pct": ("Powder in a fresh coat", "% of its volume"),
    "smallest_divisions": ("Smallest sensible weight", "divisions of the scale"),
    "load_margin_g": ("Keep free on the scale for the pot and the last scoop", "g"),
    "yield_low_pct": ("Ask about a yield under", "%"),
    "yield_high_pct": ("Ask about a yield over", "%"),
    "calibration_days": ("A glass is weighed with water again after", "days"),
    "repeatability": ("Two readings of one stir agree within", "SG"),
    "bed_solids_pct": ("Powder in the bed that settles overnight", "% of the bed's volume"),
    "answer_within_days": ("Answer a report within", "days"),
    "strangers_reports_per_hour": ("Reports without a name from one address count up to", "an hour"),
    "label_expires_h": ("A printed label that nobody scans on its bucket expires after", "h"),
    "sheet_current_years": ("A data sheet is current for", "years"),
    "sheet_missing_years": ("A data sheet counts as missing after", "years"),
    "cleaning_days": ("Wet cleaning every", "days"),
    "filter_days": ("Look at the filters every", "days"),
    "extraction_days": ("Look at the extraction every", "days"),
    "trap_days": ("Empty the sink trap every", "days"),
    "respirator_days": ("A respirator is fitted and checked every", "days"),
    "leach_months": ("A leach test speaks for", "months"),
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
