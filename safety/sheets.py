"""Questions about data sheets: which stand for a material, and what state they are in."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from django.db.models import Aggregate, Exists, OuterRef, QuerySet, Subquery, TextField, Value
from django.db.models.functions import Coalesce

from safety.calc.asides import language_aside, supplier_aside
from safety.calc.freshness import SheetState, sheet_state
from safety.models import Constituent, Covers, Sheet
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


class _Joined(Aggregate):
    """Texts of many rows as one, commas between."""

    function = "GROUP_CONCAT"
    output_field = TextField()

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        template = "STRING_AGG(%(expressions)s, ',')"
        return self.as_sql(compiler, connection, template=template, **more)


def sheet_states(material_ids: Iterable[int], today: date, rules: Policy) -> dict[int, State]:
    """State of the sheets of each material, by the newest that stands; one query for any number of them.

    A lot that is here and not covered by a standing sheet makes its material due.
    """
    ids = list(material_ids)
    newest: dict[int, Any] = {}
    for sheet in standing_sheets().filter(material__in=ids).order_by("number"):
        newest[sheet.material_id] = sheet
    return {pk: state_as_read(newest.get(pk), today, rules) for pk in ids}


def standing_sheets() -> QuerySet[Any]:
    """Sheets that no newer version replaces, each with ``bare`` and ``numbers``.

    ``bare``: a lot of its material that is here is covered by none. ``numbers``: CAS numbers in it.
    """
    covers = Covers.objects.filter(lot=OuterRef("pk"), sheet__replaced_by=None)
    bare = Lot.objects.filter(~Exists(covers), material=OuterRef("material"), state__in=HERE)
    held = Constituent.objects.filter(sheet=OuterRef("pk")).order_by().values("sheet")
    numbers = Subquery(held.annotate(joined=_Joined("cas")).values("joined"))
    rows = Sheet.objects.filter(replaced_by=None)
    return rows.annotate(bare=Exists(bare), numbers=Coalesce(numbers, Value("", TextField())))


def state_as_read(newest: Any, today: date, rules: Policy) -> State:
    """State of the newest sheet of a material, one of ``standing_sheets``; None: there is none."""
    numbers = newest.numbers.split(",") if newest else ()
    found = state_of(newest, not (newest and newest.bare), today, rules, cas=numbers)
    return State(word=found.word, sentence=found.sentence, sheet=newest)


def asides_of_materials(material_ids: Iterable[int]) -> dict[int, tuple[str, ...]]:
    """What is to be said beside the sheets of each material with lots that are here: two queries for all.

    Nothing of it changes a sheet's state or stops an act.
    """
    sheets: dict[int, list[Sheet]] = {pk: [] for pk in material_ids}
    lots: dict[int, list[Lot]] = {pk: [] for pk in sheets}
    for sheet in Sheet.objects.filter(material__in=sheets, replaced_by=None).order_by("-number"):
        sheets[sheet.material_id].append(sheet)
    for lot in Lot.objects.filter(material__in=sheets, state__in=HERE).order_by("code"):
        lots[lot.material_id].append(lot)
    return {pk: asides_of_material(rows, lots[pk]) for pk, rows in sheets.items()}


def asides_of_material(rows: Sequence[Sheet], lots: Sequence[Lot]) -> tuple[str, ...]:
    """What is to be said beside the sheets of a material: each language, and lots of other suppliers."""
    said = [f"{row}: {aside}" for row in rows if (aside := language_aside(row.language))]
    strange = supplier_aside([row.supplier for row in rows], [(lot.code, lot.supplier) for lot in lots])
    return (*said, *([strange] if strange else []))


def asides_of(sheet: Sheet, lots: Iterable[Lot]) -> tuple[str, ...]:
    """What is to be said on a sheet's own page: its language, and lots it covers of other suppliers."""
    said = (
        language_aside(sheet.language),
        supplier_aside([sheet.supplier], [(lot.code, lot.supplier) for lot in lots]),
    )
    return tuple(one for one in said if one)


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


def standing_of_lot(lot: Lot) -> list[Sheet]:
    """The sheets that stand for a lot's material, newest first, each with ``covers_it``: one query."""
    covers = Covers.objects.filter(sheet=OuterRef("pk"), lot=lot)
    rows = Sheet.objects.filter(material=lot.material_id, replaced_by=None).annotate(covers_it=Exists(covers))
    return list(rows.order_by("-number"))
