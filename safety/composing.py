"""What the sheets on file say a material is made of, ready to be summed up over a recipe."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db.models import Prefetch
from django.utils import timezone

from safety.calc.composition import (
    HUNDRED,
    Held,
    by_fine_fraction,
    is_crystalline_silica,
    left_to_whole,
    merged,
    unexplained,
)
from safety.calc.hazards import ROUTES, Hazards
from safety.calc.mixture import RULES_OF_LAW
from safety.calc.skin_eye import is_extreme
from safety.calc.sources import standing as said_of
from safety.models import Constituent, Covers, Sheet
from safety.sheets import state_of
from safety.substances import by_cas
from studio import words
from studio.materials.models import Lot, Material
from studio.room import policy
from studio.room.policy import Policy

GONE = (Lot.State.USED_UP, Lot.State.REJECTED)
UNKNOWN = Hazards(stated="unknown", unknown_acute=ROUTES)


@dataclass(frozen=True, kw_only=True)
class Made:
    """A material by substance, with the sheets that say so, what was assumed and what is not known."""

    material: Material
    substances: tuple[Held, ...]
    sheets: tuple[Sheet, ...] = ()
    assumed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()

    @property
    def hazardous(self) -> bool:
        """Whether anything in it has a class, or its pH counts as corrosive, by its sheets."""
        whole = any(sheet.hazards.get("classes") or has_extreme_ph(sheet) for sheet in self.sheets)
        return whole or any(held.hazards.classes for held in self.substances)


def has_extreme_ph(sheet: Sheet) -> bool:
    """Whether a sheet gives a pH that counts as corrosive by itself."""
    return sheet.ph is not None and is_extreme(sheet.ph)


@dataclass(frozen=True, kw_only=True)
class OnFile:
    """Materials with the sheets that stand for each, read once: every law reads the same sheets."""

    materials: dict[int, Material]
    sheets: dict[int, list[Sheet]]
    too_old: dict[int, str]

    def made(self, law: str) -> dict[int, Made]:
        """Each material by substance under a law ("EU", "US", "UN")."""
        return {
            pk: _made(row, self.sheets.get(pk, []), law, self.too_old) for pk, row in self.materials.items()
        }


def on_file(material_ids: Iterable[int]) -> OnFile:
    """What is on file of these materials: five queries, however many there are."""
    materials = Material.objects.in_bulk(set(material_ids))
    sheets = standing_by_material(materials)
    too_old = _too_old([sheet for found in sheets.values() for sheet in found], policy.in_force())
    return OnFile(materials=materials, sheets=sheets, too_old=too_old)


def _too_old(sheets: Iterable[Sheet], rules: Policy) -> dict[int, str]:
    """By the id of a sheet that counts as missing, why: no label may look complete that rests on it."""
    today, found = timezone.localdate(), {}
    for sheet in sheets:
        numbers = [row.cas for row in sheet.constituents.all()]
        state = state_of(sheet, True, today, rules, cas=numbers)
        if state.word == "missing":
            found[sheet.pk] = state.sentence
    return found


def standing_by_material(material_ids: Iterable[int]) -> dict[int, list[Sheet]]:
    """Sheets that no newer version replaces, oldest first; only those of lots still here, if any is."""
    rows = (
        Sheet.objects.filter(material__in=list(material_ids), replaced_by=None)
        .order_by("number")
        .prefetch_related(
            Prefetch("constituents", queryset=Constituent.objects.order_by("position")),
            Prefetch("covers", queryset=Covers.objects.select_related("lot")),
        )
    )
    found: dict[int, list[Sheet]] = {}
    for sheet in rows:
        found.setdefault(sheet.material_id, []).append(sheet)
    return {pk: _of_lots_here(sheets) for pk, sheets in found.items()}


def _of_lots_here(sheets: list[Sheet]) -> list[Sheet]:
    """Of several suppliers' sheets those whose lots are in the store; else the newest."""
    if len(sheets) == 1:
        return sheets
    here = [sheet for sheet in sheets if any(row.lot.state not in GONE for row in sheet.covers.all())]
    return here or sheets[-1:]


def _made(material: Material, sheets: list[Sheet], law: str, too_old: dict[int, str]) -> Made:
    if not sheets:
        said = f"{material.name}: no data sheet on file, so nothing is known of it."
        held = Held(name=material.name, pct=HUNDRED, hazards=UNKNOWN.by("no data sheet on file"))
        return Made(material=material, substances=(held,), missing=(said,))
    substances: list[Held] = []
    assumed: list[str] = []
    missing: list[str] = []
    for sheet in sheets:
        substances += _of_sheet(material, sheet, law, assumed, missing)
    for sheet in sheets:
        if sheet.pk in too_old:
            missing.append(f"{material.name}, {sheet}: {too_old[sheet.pk]}")
        if sheet.law != law:
            written = f"{material.name}: {sheet} is written for {sheet.get_law_display()}"
            assumed.append(f"{written}; a sheet for {Sheet.Law(law).label} may say more.")
    if len(sheets) > 1:
        names = " and ".join(str(sheet) for sheet in sheets)
        assumed.append(f"{material.name}: {names} both stand, so the stricter of them counts.")
    return Made(
        material=material,
        substances=tuple(merged(substances)),
        sheets=tuple(sheets),
        assumed=tuple(dict.fromkeys(assumed)),
        missing=tuple(dict.fromkeys(missing)),
    )


def _of_sheet(
    material: Material, sheet: Sheet, law: str, assumed: list[str], missing: list[str]
) -> list[Held]:
    """The substances of section 3, then what section 2 says beyond them, then what is left of the mass."""
    whole = Hazards.from_plain(sheet.hazards).by(f"{_named(sheet)}, section 2", _mark(sheet))
    substances: list[Held] = []
    for row in sheet.constituents.all():
        held = _constituent(row, sheet, law)
        if is_crystalline_silica(held.cas, held.hazards):
            fine_pct = row.fine_pct
            if fine_pct is None:
                given = f"{material.name}: {sheet} gives no fine fraction of {row.name}"
                assumed.append(f"{given}, so all of it counts as fine.")
            substances += by_fine_fraction(held, None if fine_pct is None else min(fine_pct, held.pct))
        else:
            substances.append(held)
        if not held.hazards.known:
            missing.append(f"{material.name}: {sheet} says nothing of what {row.name} does.")
    substances = merged(substances)
    return [*substances, *_beyond(material, sheet, whole, substances, missing)]


def _constituent(row: Constituent, sheet: Sheet, law: str) -> Held:
    typed = Hazards.from_plain(row.hazards)
    if not typed.source:
        typed = typed.by(f"{_named(sheet)}, section 3", "; ".join(filter(None, (_mark(sheet), typed.status))))
    rows = by_cas(row.cas, law) if row.cas else ()
    harmonised = next((one.hazards for one in rows if one.kind == "harmonised"), None)
    seed = next((one.hazards for one in rows if one.kind == "seed"), None)
    said = said_of(
        sheet=typed if typed.known else None,
        harmonised=harmonised,
        seed=seed,
        law=law,
        sheet_law=sheet.law,
    )
    if not said.known:
        said = replace(typed, unknown_acute=ROUTES)
    return Held(
        name=row.name, cas=row.cas, pct=row.high_pct, hazards=said, given=_given(row), sheet=str(sheet)
    )


def _given(row: Constituent) -> str:
    """A share as section 3 gives it, where more is to be said than one figure: "2 to 5 %, 5 % used"."""
    high = words.percent(row.high_pct, 4)
    said = []
    if row.low_pct is not None and row.low_pct != row.high_pct:
        said.append(f"{words.number(row.low_pct, 4, least=0)} to {high}, {high} used")
    if row.fine_pct is not None:
        said += [*([] if said else [high]), f"{words.percent(row.fine_pct, 4)} of the material as fine"]
    return ", ".join(said)


def _beyond(
    material: Material, sheet: Sheet, whole: Hazards, substances: list[Held], missing: list[str]
) -> list[Held]:
    """The material as its sheet classes it as a whole, and the mass no substance is named for."""
    found: list[Held] = []
    more = unexplained(whole, substances, RULES_OF_LAW.get(sheet.law, RULES_OF_LAW["UN"])[0])
    left_pct = HUNDRED - sum((held.pct for held in substances), Decimal(0))
    if more:
        hazards = left_to_whole(whole, more)
        name = f"{material.name}, as a whole"
        found.append(Held(name=name, pct=HUNDRED, hazards=hazards, part="whole", sheet=str(sheet)))
    elif left_pct > 0:
        name = f"{material.name}, the rest of it" if substances else material.name
        if whole.known:
            rest = _not_named(sheet) if substances else _harmless(whole)
        else:
            rest = UNKNOWN.by(whole.source)
            missing.append(f"{material.name}: {sheet} says nothing of {_rest(left_pct, bool(substances))}.")
        found.append(Held(name=name, pct=left_pct, hazards=rest, part="rest", sheet=str(sheet)))
    return found


def _harmless(whole: Hazards) -> Hazards:
    """What section 2, or a letter, says is not hazardous."""
    return Hazards(stated="not hazardous", source=whole.source, status=whole.status)


def _not_named(sheet: Sheet) -> Hazards:
    """The mass section 3 names no substance for: nobody states that it is harmless."""
    return Hazards(
        stated="not hazardous",
        source=f"not named in section 3 of {_named(sheet)}",
        status="assumed",
        taken="taken as no hazard of its own (assumed)",
    )


def _rest(left_pct: Decimal, some_named: bool) -> str:
    return f"{words.percent(left_pct, 4)} of it" if some_named else "what it does"


def _named(sheet: Sheet) -> str:
    return {"table": f"our table, {sheet}", "letter": f"letter {sheet}"}.get(sheet.kind, f"sheet {sheet}")


def _mark(sheet: Sheet) -> str:
    return "from our table" if sheet.kind == Sheet.Kind.TABLE else "typed from the sheet"
