"""Questions about data sheets: which stand for a material, and what state they are in."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from django.db.models import Exists, OuterRef

from safety.calc.freshness import SheetState, sheet_state
from safety.models import Covers, Sheet
from safety.reclassified import change_for
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
    """The sheets that stand with what is in them, newest first, by material; two queries."""
    found: dict[int, list[Sheet]] = {pk: [] for pk in material_ids}
    rows = Sheet.objects.filter(material__in=found, replaced_by=None).order_by("-number")
    for sheet in rows.prefetch_related("constituents"):
        found[sheet.material_id].append(sheet)
    return found


def sheet_states(material_ids: Iterable[int], today: date, rules: Policy) -> dict[int, State]:
    """State of the sheets of each material; three queries for any number of them.

    A lot that is here and not covered by a standing sheet makes its material due.
    """
    sheets = standing_sheets(material_ids)
    covers = Covers.objects.filter(lot=OuterRef("pk"), sheet__replaced_by=None)
    here = Lot.objects.filter(~Exists(covers), material__in=sheets, state__in=HERE)
    bare = set(here.values_list("material", flat=True))
    return {pk: _state(rows, pk not in bare, today, rules) for pk, rows in sheets.items()}


def _state(rows: list[Sheet], covers_all: bool, today: date, rules: Policy) -> State:
    newest = rows[0] if rows else None
    found = state_of(newest, covers_all, today, rules)
    return State(word=found.word, sentence=found.sentence, sheet=newest)


def state_of(
    sheet: Sheet | None, covers_all: bool, today: date, rules: Policy, cas: Iterable[str] | None = None
) -> SheetState:
    """State of one sheet by the studio's rules. ``cas``: the numbers in it, where they are read already."""
    return sheet_state(
        kind=sheet.kind if sheet else None,
        issued_on=sheet.issued_on if sheet else None,
        revised_on=sheet.revised_on if sheet else None,
        review_on=sheet.review_on if sheet else None,
        covers_all_lots=covers_all,
        today=today,
        current_years=int(rules.sheet_current_years),
        missing_years=int(rules.sheet_missing_years),
        changed=_changed(sheet, today, cas) if sheet else None,
    )


def _changed(
    sheet: Sheet, today: date, cas: Iterable[str] | None
) -> tuple[Literal["missing", "due"], str, date] | None:
    numbers = [row.cas for row in sheet.constituents.all()] if cas is None else cas
    return change_for(law=sheet.law, cas=numbers, days=(sheet.issued_on, sheet.revised_on), today=today)
