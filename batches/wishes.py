"""A wish, and the dry mass and water it comes to; or why it can't be, with the numbers that would work."""

from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal
from fractions import Fraction
from typing import Any

from batches.copies import LineFacts, RecipeFacts
from batches.models import Request
from studio.calc.apportion import round_to_step
from studio.calc.slurry import TopUp, dry_from_volume, make_up, thin, top_up, volume_from_dry
from studio.errors import Refused
from studio.quantities import rounded
from studio.words import GAP, litres, mass, number, percent, sg

Kind = Request.Wish
MILLI = Decimal("0.001")


class CannotBeMade(Refused):
    """The wish is impossible as it stands. ``ways`` are the ways out, each a sentence with its numbers."""

    def __init__(self, sentence: str, *, ways: tuple[str, ...] = (), field: str | None = None) -> None:
        super().__init__(" ".join((sentence, *ways)), field=field)
        self.why, self.ways = sentence, ways


@dataclass(frozen=True, kw_only=True)
class Wish:
    """What is wanted: ``litres`` at ``to_sg``, or ``dry_g`` of base or in all; and what is there already.

    ``litres`` is the amount afterwards, old glaze included. ``old_volume_l`` at ``old_sg`` is told.
    """

    kind: str
    litres: Decimal | None = None
    dry_g: Decimal | None = None
    to_sg: Decimal
    old_volume_l: Decimal = Decimal(0)
    old_sg: Decimal | None = None

    @property
    def dry(self) -> bool:
        """Whether it is said as dry mass."""
        return self.kind in (Kind.DRY_BASE, Kind.DRY_TOTAL)


@dataclass(frozen=True, kw_only=True)
class Amounts:
    """Dry mass (g) and water (L) to add, and what the bucket then holds.

    ``min_volume_l``: the least it can be brought to. ``thin_...``: the way with water alone.
    """

    dry_g: Decimal
    water_l: Decimal
    to_volume_l: Decimal
    min_volume_l: Decimal | None = None
    thin_water_l: Decimal | None = None
    thin_volume_l: Decimal | None = None


def stored(wish: Wish) -> dict[str, Any]:
    """A wish in words that JSON keeps exactly."""
    kept: dict[str, Any] = {"kind": str(wish.kind)}
    for name in ("litres", "dry_g", "to_sg", "old_volume_l", "old_sg"):
        value = getattr(wish, name)
        kept[name] = None if value is None else f"{value:f}"
    return kept


def from_stored(kept: dict[str, Any]) -> Wish:
    """The wish that ``stored`` put away."""

    def read(name: str) -> Decimal | None:
        return None if kept[name] is None else Decimal(kept[name])

    return Wish(
        kind=kept["kind"],
        litres=read("litres"),
        dry_g=read("dry_g"),
        to_sg=Decimal(kept["to_sg"]),
        old_volume_l=Decimal(kept["old_volume_l"]),
        old_sg=read("old_sg"),
    )


def amounts_of(recipe: RecipeFacts, wish: Wish) -> Amounts:
    """Dry mass and water for a wish, or CannotBeMade."""
    refuse_impossible_sg(recipe, wish.to_sg)
    if wish.dry:
        return _from_dry(recipe, wish)
    if wish.litres is None or wish.litres <= 0:
        raise CannotBeMade("Say how many litres it should be.", field="litres")
    if wish.old_volume_l > 0:
        return _brought(recipe, wish)
    made = make_up(volume_l=float(wish.litres), sg=float(wish.to_sg), rho_s=float(recipe.particle_density))
    return Amounts(
        dry_g=rounded(made.dry_kg * 1000, 3), water_l=rounded(made.water_l, 3), to_volume_l=wish.litres
    )


def refuse_impossible_sg(recipe: RecipeFacts, to_sg: Decimal) -> None:
    """No slurry is thinner than water or as dense as its own powder."""
    if 1 < to_sg < recipe.particle_density:
        return
    side = "is that of plain water or less" if to_sg <= 1 else "is at or above the powder's own density"
    raise CannotBeMade(
        f"A specific gravity of {sg(to_sg)} {side}.",
        ways=(
            f"{recipe.name} can be made above 1 and below {sg(recipe.particle_density)}; "
            f"its target is {sg(recipe.target_sg)}.",
        ),
        field="to_sg",
    )


def _from_dry(recipe: RecipeFacts, wish: Wish) -> Amounts:
    if wish.dry_g is None or wish.dry_g <= 0:
        raise CannotBeMade("Say how much dry glaze it should be.", field="dry")
    dry = Fraction(wish.dry_g) * (recipe.all_to_base if wish.kind == Kind.DRY_BASE else 1)
    dry_g = round_to_step(amount=dry, step=MILLI)
    facts = {"sg": float(wish.to_sg), "rho_s": float(recipe.particle_density)}
    volume_l = volume_from_dry(dry_kg=float(dry_g) / 1000, **facts)
    return Amounts(
        dry_g=dry_g,
        water_l=rounded(make_up(volume_l=volume_l, **facts).water_l, 3),
        to_volume_l=rounded(volume_l, 3),
    )


# --- bringing a bucket to an amount


def _brought(recipe: RecipeFacts, wish: Wish) -> Amounts:
    assert wish.litres is not None  # noqa: S101 - amounts_of asked for it
    if wish.old_sg is None or wish.old_sg < 1:
        raise CannotBeMade("Say the specific gravity of what is in the bucket (1 or more).", field="old_sg")
    found = top_up(
        volume_l=float(wish.old_volume_l),
        sg=float(wish.old_sg),
        to_volume_l=float(wish.litres),
        to_sg=float(wish.to_sg),
        rho_s_added=float(recipe.particle_density),
    )
    if found.status == "too_much_solids":
        raise CannotBeMade(_holds_too_much(wish), ways=_ways_with_water(wish, found), field="litres")
    if found.status == "too_much_water":
        raise CannotBeMade(_too_wet(wish), ways=_ways_with_powder(recipe, wish, found), field="litres")
    assert found.powder_kg is not None and found.water_l is not None  # noqa: S101, PT018 - status is ok
    dry_g = rounded(found.powder_kg * 1000, 3)
    if dry_g <= 0:
        raise CannotBeMade(
            f"No powder is needed: {litres(found.water_l)} of water alone brings it to {litres(wish.litres)} "
            f"at {sg(wish.to_sg)}. Log it as water in on the bucket's page.",
            field="litres",
        )
    water_alone = thin(volume_l=float(wish.old_volume_l), sg=float(wish.old_sg), to_sg=float(wish.to_sg))
    thinner = wish.old_sg > wish.to_sg
    return Amounts(
        dry_g=dry_g,
        water_l=rounded(found.water_l, 3),
        to_volume_l=wish.litres,
        min_volume_l=rounded(found.min_volume_l or 0, 3),
        thin_water_l=rounded(water_alone.water_l, 3) if thinner else None,
        thin_volume_l=rounded(water_alone.volume_l, 3) if thinner else None,
    )


def _there(wish: Wish) -> str:
    return f"{litres(wish.old_volume_l)} at {sg(wish.old_sg or 1)}"


def _holds_too_much(wish: Wish) -> str:
    asked = f"{litres(wish.litres or 0)} at {sg(wish.to_sg)}"
    if wish.litres is not None and wish.litres < wish.old_volume_l:
        return f"The bucket holds {_there(wish)}, more than the {litres(wish.litres)} asked for."
    return f"The bucket holds {_there(wish)}: more glaze than {asked} needs."


def _too_wet(wish: Wish) -> str:
    if wish.litres is not None and wish.litres < wish.old_volume_l:
        return (
            f"The bucket holds {_there(wish)}, more than the {litres(wish.litres)} asked for, and too thin."
        )
    return (
        f"The bucket holds {_there(wish)}: too much water for {litres(wish.litres or 0)} at {sg(wish.to_sg)}."
    )


def _ways_with_water(wish: Wish, found: TopUp) -> tuple[str, ...]:
    least = _told(found.min_volume_l)
    return (
        f"With water alone ({litres(least - wish.old_volume_l)}) it becomes {litres(least)}.",
        f"Or take out {litres(_told(found.remove_slurry_first_l))} of stirred glaze first, "
        f"then add {litres(_told(found.then_water_l))} of water.",
    )


def _ways_with_powder(recipe: RecipeFacts, wish: Wish, found: TopUp) -> tuple[str, ...]:
    assert wish.litres is not None and wish.old_sg is not None  # noqa: S101, PT018 - _brought saw to it
    least = _told(found.min_volume_l)
    powder_kg = recipe.particle_density * (least - wish.old_volume_l)
    ways = [
        f"With powder alone ({_powder(powder_kg)}) the least is {litres(least)}.",
        f"Or take out {litres(_told(found.remove_slurry_first_l))} of stirred glaze first, "
        f"then stir in {_powder(_told(found.then_powder_kg))} of powder.",
    ]
    if found.decant_instead_l is not None and found.powder_kg is not None:
        ways.append(_decanting(recipe, _told(found.decant_instead_l), _told(found.powder_kg)))
    if found.sg_if_powder_only is not None and wish.litres > wish.old_volume_l:
        ways.append(
            f"Powder alone up to {litres(wish.litres)} would give a specific gravity of "
            f"{sg(found.sg_if_powder_only)}."
        )
    return tuple(ways)


def _told(value: float | None) -> Decimal:
    """A float as it is told: without the noise of its last digits."""
    return rounded(value or 0, 6)


def _powder(kg: Decimal) -> str:
    return mass(rounded(1000 * kg, 0))


def _decanting(recipe: RecipeFacts, off_l: Decimal, powder_kg: Decimal) -> str:
    if recipe.soluble:
        return (
            f"Taking off clear water is no way here: {recipe.name} holds a material that dissolves, "
            "and that would go with the water."
        )
    return (
        f"Or let it settle, take off {litres(off_l)} of clear water, "
        f"then stir in {_powder(powder_kg)} of powder."
    )


# --- what a bucket takes, what a scale shows


def refuse_over_limit(
    recipe: RecipeFacts,
    wish: Wish,
    found: Amounts,
    *,
    code: str,
    brim_l: float,
    limit_pct: Decimal,
) -> None:
    """A bucket keeps room for stirring and for the piece that is dipped."""
    limit_l = brim_l * float(limit_pct) / 100
    if float(found.to_volume_l) <= limit_l:
        return
    most = Decimal(repr(limit_l)).quantize(Decimal("0.1"), rounding=ROUND_DOWN)
    works = f"Ask for {litres(most)} or less"
    if wish.dry:
        works = f"Ask for {mass(_most_dry_g(recipe, wish, most))} or less ({litres(most)})"
    share = percent(100 * float(found.to_volume_l) / brim_l, 1)
    raise CannotBeMade(
        f"{litres(found.to_volume_l)} would fill {code} to {share} of its brim. "
        f"The limit is {percent(limit_pct)}, {litres(limit_l)}, "
        "so that it can be stirred and dipped from.",
        ways=(f"{works}, or take a larger bucket.",),
        field=_field(wish),
    )


def _most_dry_g(recipe: RecipeFacts, wish: Wish, most_l: Decimal) -> int:
    """Grams of base or of everything, as wished, that ``most_l`` litres hold; down to 10 g."""
    kg = dry_from_volume(volume_l=float(most_l), sg=float(wish.to_sg), rho_s=float(recipe.particle_density))
    share = float(recipe.all_to_base) if wish.kind == Kind.DRY_BASE else 1.0
    return int(kg * 100 / share) * 10


def refuse_too_small(
    recipe: RecipeFacts, wish: Wish, line: LineFacts, found: Amounts, *, least_g: Decimal
) -> None:
    """A line that no scale would show is never rounded to nothing."""
    parts = sum((x.parts for x in recipe.lines), Decimal(0))
    exact = found.dry_g * line.parts / parts
    needed_g = least_g * parts / line.parts
    raise CannotBeMade(
        f"{line.name} would be {number(exact, 3, least=0)}{GAP}g, less than any scale here shows.",
        ways=(
            f"From {mass(needed_g)} of dry glaze on it reaches {number(least_g, 1, least=0)}{GAP}g, "
            "the smallest sensible weight; or weigh it as a premix.",
        ),
        field=_field(wish),
    )


def _field(wish: Wish) -> str:
    return "dry" if wish.dry else "litres"
