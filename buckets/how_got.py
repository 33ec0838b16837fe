"""How the gravity of a reading was got: the formula with its numbers, and what is to be known about it."""

from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal

from buckets.models import Reading
from studio import words
from studio.calc.water import water_density_kg_per_l
from studio.room.measuring import ROOM_C

Method = Reading.Method
CONVENTION = "Grams in a mL, over water at 1.000: the studio’s convention."
PROPAGATED = "twice the standard uncertainty (first-order propagation, JCGM 100, from memory)"


@dataclass(frozen=True)
class HowGot:
    """A line of arithmetic, and sentences."""

    formula: str
    notes: list[str] = field(default_factory=list)


def how_got(row: Reading) -> HowGot:
    """Of a reading fetched with its glass, scale and hydrometer."""
    return BY.get(row.method, _unit)(row)


def _n(value: Decimal | float | None, places: int = 4) -> str:
    return words.number(value or 0, places, least=0)


def _weighed(row: Reading) -> HowGot:
    volume = f"{_n(row.glass.volume_ml if row.glass else 0, 3)}{words.GAP}mL"
    weights = f"({words.grams(row.gross_g or 0)} − {words.grams(row.tare_g or 0)})"
    notes = [CONVENTION]
    if row.u_sg is not None and row.scale and row.glass:
        notes.append(
            f"The doubt comes from the scale ({words.grams(row.scale.division_g)}) and the glass "
            f"(± {_n(row.glass.tolerance_ml, 3)}{words.GAP}mL): {PROPAGATED}."
        )
    return HowGot(f"SG = (filled − empty) ÷ volume = {weights} ÷ {volume} = {words.sg(row.sg or 0)}", notes)


def _against_water(row: Reading) -> HowGot:
    warm = ROOM_C if row.temperature_c is None else row.temperature_c
    rho_w = water_density_kg_per_l(temperature_c=float(warm))
    weights = [words.grams(x or 0) for x in (row.gross_g, row.tare_g, row.water_g, row.tare_g)]
    ratio = "({} − {}) ÷ ({} − {})".format(*weights)
    said = "" if row.temperature_c is not None else ", which nobody measured"
    notes = [
        f"The vessel’s volume cancels. Against water at {_n(warm, 1)}{words.GAP}°C{said} it is "
        f"{words.sg((row.sg or 0) / Decimal(repr(rho_w)))}; times the water’s {_n(rho_w)}{words.GAP}g/mL "
        "(Tanaka et al. 2001) it is grams in a mL, as the studio counts. Air’s buoyancy shifts it by 0.0005 "
        "at most and is left out.",
    ]
    if row.u_sg is not None:
        notes.append(f"The doubt comes from the scale and from meeting the mark twice: {PROPAGATED}.")
    return HowGot(f"SG = {ratio} × {_n(rho_w)} = {words.sg(row.sg or 0)}", notes)


def _hydrometer(row: Reading) -> HowGot:
    made = row.hydrometer
    if made is None:
        return _typed(row)
    unit = {"SG": "", "baumé": f"{words.GAP}°Bé", "twaddell": f"{words.GAP}°Tw"}[made.shows]
    rho_ref = water_density_kg_per_l(temperature_c=float(made.water_reference_c))
    warmer = f"({_n(row.temperature_c, 1)} − {_n(made.calibrated_at_c, 1)})"
    glass = f"(1 − {_n(made.expansion_per_c, 7)} × {warmer})"
    read = f"{_n(row.as_read)}{unit}"
    as_sg = read if made.shows == "SG" else f"{read} as SG"
    notes = [
        f"{made.name}, made for {_n(made.calibrated_at_c, 1)}{words.GAP}°C; its 1.000 is water at "
        f"{_n(made.water_reference_c, 1)}{words.GAP}°C, {_n(rho_ref)}{words.GAP}g/mL. Grams in a mL, as the "
        "studio counts; glass by ISO 1768 (opened).",
        "A glaze with a yield stress, or one that settles, makes a hydrometer say anything: weighing is the "
        "reference (common practice, no source).",
        f"The doubt is its scale right to one step and read to half of one: {PROPAGATED}. What the glaze "
        "does to it is not in there.",
    ]
    if made.modulus:
        notes.insert(0, f"SG = {_n(row.modulus, 2)} ÷ ({_n(row.modulus, 2)} − degrees).")
    return HowGot(f"SG = {as_sg} × {_n(rho_ref)} × {glass} = {words.sg(row.sg or 0)}", notes)


def _unit(row: Reading) -> HowGot:
    """A number told in some unit."""
    read, sg = _n(row.as_read), words.sg(row.sg or 0)
    notes = ["Taken as it stands: at which temperature it was read counts for less than its doubt."]
    match row.method:
        case Method.BAUME:
            m = _n(row.modulus, 2)
            formula = f"SG = {m} ÷ ({m} − {read}) = {sg}"
            notes.insert(0, "Heavy Baumé; the modulus is kept, because scales differ.")
        case Method.TWADDELL:
            formula = f"SG = 1 + {read} ÷ 200 = {sg}"
        case Method.OZ_IMPERIAL:
            formula = f"SG = {read}{words.GAP}oz ÷ 20{words.GAP}oz = {sg}"
            notes.insert(
                0,
                "A pint of water weighs 20 oz in air at 62 °F. As grams in a mL the same weight is 0.22 % "
                "less; a US pint divided by 20 would read 17 % low.",
            )
        case Method.OZ_US:
            formula = f"SG = {read}{words.GAP}oz × 28.3495{words.GAP}g ÷ 473.176{words.GAP}mL = {sg}"
        case Method.G_100ML:
            formula = f"SG = {read}{words.GAP}g ÷ 100{words.GAP}mL = {sg}"
        case Method.G_L:
            formula = f"SG = {read}{words.GAP}g ÷ 1000{words.GAP}mL = {sg}"
        case _:
            formula = f"SG = {read}{words.GAP}lb × 453.592{words.GAP}g ÷ 3785.41{words.GAP}mL = {sg}"
    if row.method in (Method.OZ_US, Method.G_100ML, Method.G_L, Method.LB_US_GAL):
        notes = [CONVENTION]
    if row.u_sg is not None and row.glass and row.scale:
        notes.append(f"The doubt comes from {row.glass.name} and {row.scale.name}: {PROPAGATED}.")
    return HowGot(formula, notes)


def _typed(row: Reading) -> HowGot:
    slipped = f" as {_n(row.as_read)}, the decimal mark one place to the left" if row.as_read else ""
    return HowGot(f"SG {words.sg(row.sg or 0)}, typed{slipped or ' as it is'}")


BY: dict[str, Callable[[Reading], HowGot]] = {
    Method.WEIGHED: _weighed,
    Method.AGAINST_WATER: _against_water,
    Method.HYDROMETER: _hydrometer,
    Method.TYPED: _typed,
}
