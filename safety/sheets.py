"""Questions about data sheets: which stand for a material, and what state they are in."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from safety.calc.freshness import SheetState, sheet_state
from safety.models import Covers, Sheet
from studio.materials.models import Lot
from studio.room.policy import Policy

HERE = (Lot.State.QUARANTINE, Lot.State.RELEASED)
WORST_FIRST = ("missing", "due", "current")


@dataclass(frozen=True, kw_only=True)
class State:
    """``word`` and ``sentence`` of a material's sheets; ``sheet`` the newest that stands, or None."""

    word: str
    sentence: str
    sheet: Sheet | None


def standing_sheets(material_ids: Iterable[int]) -> dict[int, list[Sheet]]:
    """The sheets that stand, newest first, by material; one query."""
    found: dict[int, list[Sheet]] = {pk: [] for pk in material_ids}
    for sheet in Sheet.objects.filter(material__in=found, replaced_by=None).order_by("-number"):
        found[sheet.material_id].append(sheet)
    return found


def sheet_states(material_ids: Iterable[int], today: date, rules: Policy) -> dict[int, State]:
    """State of the sheets of each material; three queries for any number of them.

    A lot that is here and not covered by a standing sheet makes its material due.
    """
    sheets = standing_sheets(material_ids)
    here = Lot.objects.filter(material__in=sheets, state__in=HERE).values_list("material", "pk")
    covered = set(Covers.objects.filter(sheet__replaced_by=None).values_list("lot", flat=True))
    bare = {material for material, lot in here if lot not in covered}
    return {pk: _state(rows, pk not in bare, today, rules) for pk, rows in sheets.items()}


def _state(rows: list[Sheet], covers_all: bool, today: date, rules: Policy) -> State:
    if not rows:
        found = state_of(None, True, today, rules)
        return State(word=found.word, sentence=found.sentence, sheet=None)
    newest = rows[0]
    found = state_of(newest, covers_all, today, rules)
    return State(word=found.word, sentence=found.sentence, sheet=newest)


def state_of(sheet: Sheet | None, covers_all: bool, today: date, rules: Policy) -> SheetState:
    """State of one sheet by the studio's rules."""
    return sheet_state(
        kind=sheet.kind if sheet else None,
        issued_on=sheet.issued_on if sheet else None,
        revised_on=sheet.revised_on if sheet else None,
        review_on=sheet.review_on if sheet else None,
        covers_all_lots=covers_all,
        today=today,
        current_years=int(rules.sheet_current_years),
        missing_years=int(rules.sheet_missing_years),
    )
