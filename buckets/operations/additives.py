"""Additives in: flocculant, deflocculant, gum, bentonite, biocide. Dose by dry glaze, half first."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from buckets.advice import newest_reading
from buckets.calc.changes import Change, of_powder, of_water
from buckets.calc.flow_table import ADDITIVES, Additive
from buckets.models import Care, Fill
from buckets.operations.changing import done, dry_kg_in, refuse_being_made, refuse_no_room
from buckets.operations.standing import STANDS, opened
from studio import words
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded

MOST_PCT = Decimal(5)  # of the dry glaze; beyond this a unit was mixed up. Common practice, no source
FROM_SHEET = "added to the bucket; its data sheet decides"


@act("additive in", about="fill")
def additive_in(
    *,
    fill: Fill,
    additive: str,
    product: str = "",
    volume_l: Decimal | None = None,
    stock_g_per_l: Decimal | None = None,
    mass_g: Decimal | None = None,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Care:
    """An additive went in: ``volume_l`` litres of a stock of ``stock_g_per_l``, or ``mass_g`` grams dry.

    The dose kept is grams as they stand in the jar, in percent of the dry glaze, where that is known.
    The water of a stock counts as water in. What was added joins what the label says is in the bucket.
    """
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    what = ADDITIVES.get(additive)
    if what is None:
        raise Refused("What went in? Choose one of the list, or other.", field="additive")
    named = product.strip()
    if what.name in ("other", "biocide") and not named:
        raise Refused("Which product is it? Its name stands on its data sheet.", field="product")
    grams = grams_of(volume_l=volume_l, stock_g_per_l=stock_g_per_l, mass_g=mass_g)
    refuse_being_made(fill, "additives are noted")
    dose = dose_pct(fill, grams)
    if dose is not None and dose > MOST_PCT:
        raise Refused(_too_much(what, dose), field="volume_l" if volume_l is not None else "mass_g")
    change = change_of(what, volume_l=volume_l, mass_g=mass_g)
    refuse_no_room(fill, rounded(change.litres, 3), field="volume_l" if volume_l is not None else "mass_g")
    row = done(
        fill,
        Care.Kind.ADDITIVE_IN,
        change=change,
        additive=name_of(what, named),
        volume_l=volume_l,
        stock_g_per_l=None if stock_g_per_l is None else rounded(stock_g_per_l, 2),
        mass_g=mass_g,
        dose_pct=dose,
        note=note,
        raw=raw,
        by=by,
        at=at,
    )
    restate_additives(fill)
    return row


def name_of(what: Additive, product: str) -> str:
    """``gum``, or ``gum: cellulose 300`` where the product was named."""
    if what.name == "other":
        return product[:40]
    return f"{what.name}: {product}"[:40] if product else what.name


def grams_of(*, volume_l: Decimal | None, stock_g_per_l: Decimal | None, mass_g: Decimal | None) -> Decimal:
    """Grams of additive as they stand in the jar, from a stock solution or weighed dry."""
    if volume_l is not None and mass_g is not None:
        raise Refused("Dissolved or dry? Give the solution or the grams, not both.", field="mass_g")
    if mass_g is not None:
        if mass_g <= 0:
            raise Refused("How much went in? It must be more than 0 g.", field="mass_g")
        return mass_g
    if volume_l is None or volume_l <= 0:
        raise Refused("How much went in? Give the millilitres of solution, or the grams.", field="volume_l")
    if stock_g_per_l is None or stock_g_per_l <= 0:
        raise Refused("How strong is the solution? Grams in a litre of it.", field="stock_g_per_l")
    return volume_l * stock_g_per_l


def change_of(what: Additive, *, volume_l: Decimal | None, mass_g: Decimal | None) -> Change:
    """A solution counts as its water. Dry, what does not dissolve takes room; what dissolves weighs only."""
    if volume_l is not None:
        return of_water(litres=float(volume_l))
    grams = float(mass_g or 0)
    return of_powder(grams=grams, rho_s=what.density) if what.density else Change(0.0, grams)


def dose_pct(fill: Fill, grams: Decimal) -> Decimal | None:
    """Percent of the dry glaze in the fill by its newest reading; None where that does not tell it."""
    reading = newest_reading(fill)
    dry_kg = dry_kg_in(fill, reading.sg if reading else None)
    if not dry_kg:
        return None
    return rounded(float(grams) / (10 * dry_kg), 4)


def _too_much(what: Additive, dose: Decimal) -> str:
    usual = ""
    if what.low_pct is not None and what.high_pct is not None:
        low, high = words.percent(what.low_pct), words.percent(what.high_pct)
        usual = f" Usual is {low} to {high}."
    return f"That would be {words.percent(dose)} of the dry glaze.{usual} Millilitres or litres, g or kg?"


def restate_additives(fill: Fill) -> None:
    """What is in the fill names each additive that stands, once; a locked fill is written.

    Where nothing is known of what is in it, that stays said: one known name would look like all of it.
    """
    rows = fill.care.filter(STANDS, kind=Care.Kind.ADDITIVE_IN).order_by("at", "id")
    names = dict.fromkeys(rows.values_list("additive", flat=True))
    kept = [entry for entry in fill.contents if entry.get("added") != fill.pk]
    there = {str(entry.get("material", "")).lower() for entry in kept}
    new = [name for name in names if kept and name.lower() not in there]
    contents = kept + [{"material": name, "words": FROM_SHEET, "added": fill.pk} for name in new]
    if contents != fill.contents:
        fill.contents = contents
        fill.save(update_fields=["contents"])
