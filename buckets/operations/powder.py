"""Powder in: dry glaze of the recipe for a bucket that is too thin, out of lots or made up before."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from buckets.calc.changes import of_powder
from buckets.models import Care, Fill, Powder
from buckets.operations.changing import density_of, done, refuse_being_made, refuse_no_room
from buckets.operations.standing import opened
from studio import words
from studio.errors import Refused
from studio.materials.models import Lot
from studio.materials.operations import stock
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded
from studio.recipes.models import Line, Version

OFF_BY = Decimal("0.05")  # of a line's share; more is not this recipe's powder. Common practice, no source
LEAST_G = Decimal("0.5")  # a line of a few grams may be off by this much


@dataclass(frozen=True, kw_only=True)
class FromLot:
    """Grams weighed out of one lot."""

    lot: Lot
    net_g: Decimal


@act("powder in", about="fill")
def powder_in(
    *,
    fill: Fill,
    mass_g: Decimal | None = None,
    rows: Sequence[FromLot] = (),
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Care:
    """Dry powder of the recipe stirred in: ``mass_g`` grams made up before, or ``rows`` weighed from lots.

    Lots given, their records fall by what was weighed, line by line, and the sum is what went in. Made up
    before, the store is not changed: ``note`` says where it came from. Refused when the lots are not the
    lines of the fill's version in their shares (5 %), and when it does not fit.
    """
    fill = opened(fill)
    refuse_unless(by, rights.MAKE)
    refuse_being_made(fill, "powder goes in")
    if rows:
        weighed_g = sum((row.net_g for row in rows), Decimal(0))
        if mass_g is not None and mass_g != weighed_g:
            raise Refused(
                f"The lots add up to {words.grams(weighed_g)}. Leave this empty, or make them agree.",
                field="mass_g",
            )
        _refuse_other_powder(fill.version, rows, weighed_g)
        mass_g = weighed_g
    if mass_g is None or mass_g <= 0:
        raise Refused("How much powder went in? It must be more than 0 g.", field="mass_g")
    change = of_powder(grams=float(mass_g), rho_s=float(density_of(fill)))
    refuse_no_room(fill, rounded(change.litres, 3), field="mass_g")
    how = "out of lots" if rows else "made up before"
    row = done(
        fill, Care.Kind.POWDER_IN, change=change, mass_g=mass_g, how=how, note=note, raw=raw, by=by, at=at
    )
    _take(row, rows, by=by, at=at)
    return row


def _take(care: Care, rows: Sequence[FromLot], *, by: Member, at: datetime | None) -> None:
    """Each lot falls by what was weighed from it, in the order of the materials."""
    what = f"powder into {care.fill.vessel.code}, fill {care.fill.number}"
    for row in sorted(rows, key=lambda row: (row.lot.material_id, row.lot.pk)):
        movement = stock.issue(lot=row.lot, mass_g=row.net_g, what=what, by=by, at=at)
        Powder.objects.create(care=care, movement=movement)


def shares_of(version: Version) -> list[tuple[Line, Decimal]]:
    """The lines of a version, each with its share (0 to 1) of the whole dry recipe, additions included."""
    lines = list(version.lines.select_related("material").order_by("position"))
    total = sum((line.parts for line in lines), Decimal(0))
    return [(line, line.parts / total) for line in lines]


def _refuse_other_powder(version: Version | None, rows: Sequence[FromLot], total_g: Decimal) -> None:
    """The lots must make the powder of this recipe: every line, nothing else, in its share."""
    if version is None:
        raise Refused("This fill has no recipe on record, so it has no lines to weigh. Type the sum instead.")
    wanted: dict[int, Decimal] = {}
    names: dict[int, str] = {}
    for line, share in shares_of(version):
        wanted[line.material_id] = wanted.get(line.material_id, Decimal(0)) + share * total_g
        names[line.material_id] = line.material.name
    got: dict[int, Decimal] = {}
    for row in rows:
        if row.net_g <= 0:
            raise Refused("Each weight must be more than 0 g.")
        got[row.lot.material_id] = got.get(row.lot.material_id, Decimal(0)) + row.net_g
    _refuse_strangers(rows, wanted)
    for number in wanted:
        if not got.get(number):
            raise Refused(f"{names[number]} is missing: it belongs to the powder of this recipe.")
    for number, target_g in wanted.items():
        _refuse_off(names[number], got[number], target_g)


def _refuse_strangers(rows: Sequence[FromLot], wanted: dict[int, Decimal]) -> None:
    for row in rows:
        if row.lot.material_id not in wanted:
            raise Refused(f"Lot {row.lot.code} is {row.lot.material.name}, which is not in this recipe.")


def _refuse_off(name: str, net_g: Decimal, target_g: Decimal) -> None:
    if abs(net_g - target_g) > max(OFF_BY * target_g, LEAST_G):
        raise Refused(
            f"{name}: {words.grams(net_g)} weighed, {words.grams(rounded(target_g, 1))} belong to this much. "
            "If that is what went in, type the sum instead and say so in the note; the store is then put "
            "right by hand."
        )
