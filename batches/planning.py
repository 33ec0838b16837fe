"""What a wish comes to: grams of every line, water with its first part, litres, weight, whether it fits.

Plain facts in, a ``Plan`` or ``CannotBeMade`` out. Nothing here reads a fill: litres and SG of what is
in a bucket are told as numbers.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from batches import wishes
from batches.calc import tolerance
from batches.calc.plan import Plan as PlannedLines
from batches.calc.plan import PlannedLine, RecipeLine, scale_lines
from batches.calc.water import expected_gross_kg, first_water
from batches.copies import LineFacts, RecipeFacts, facts_in, facts_of
from batches.models import Batch
from batches.wishes import Amounts, CannotBeMade, Wish
from studio.calc.slurry import volume_from_dry
from studio.prepared import Prepared
from studio.quantities import rounded
from studio.recipes.models import Version
from studio.room.models import Scale, Vessel
from studio.room.policy import Policy, in_force

__all__ = ["CannotBeMade", "Plan", "PlanLine", "Wish", "plan", "restated", "scales_in_use"]

NO_SCALE_DIVISION_G = Decimal("0.1")  # until the room has a scale; common practice, no source
LEAST_PCT = Decimal("0.0001")  # shares are told to this
LIFT_ALONE_KG = Decimal(15)  # more is lifted by two; common practice, no source


@dataclass(frozen=True, kw_only=True)
class PlanLine:
    """One line to weigh. ``why`` this scale: see ``batches.calc.tolerance.ScaleChoice``."""

    position: int
    kind: str
    material_id: int
    name: str
    parts: Decimal
    pct_of_base: Decimal
    share_pct: Decimal
    target_g: Decimal
    band_g: Decimal
    scale_id: int | None
    scale_name: str
    loads: int
    why: str
    smallest_g: Decimal
    hazard_words: str

    @property
    def too_light(self) -> bool:
        """Whether it is under the smallest sensible weight of every scale."""
        return self.why == "too small"


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What is to be weighed and poured, and what comes of it.

    ``dry_g`` and ``base_g`` are the exact sums of the lines; ``rounding_g`` is what that differs from the
    dry mass wished for. Volumes in L, SG with water 1. ``gross_kg`` is the full bucket (None without
    one), ``first_gross_kg`` after powder and first water. ``made_l``: litres this powder alone makes at
    ``to_sg``. ``thin_...``: the way without powder, where there is one.
    """

    lines: tuple[PlanLine, ...]
    total_pct: Decimal
    base_g: Decimal
    dry_g: Decimal
    exact_dry_g: Decimal
    rounding_g: Decimal
    water_l: Decimal
    first_water_l: Decimal
    kept_water_l: Decimal
    hold_back_pct: Decimal
    old_volume_l: Decimal
    old_sg: Decimal | None
    to_volume_l: Decimal
    to_sg: Decimal
    min_volume_l: Decimal | None
    thin_water_l: Decimal | None
    thin_volume_l: Decimal | None
    made_l: Decimal
    slurry_kg: Decimal
    gross_kg: Decimal | None
    first_gross_kg: Decimal | None
    fill_pct: Decimal | None
    limit_l: Decimal | None

    @property
    def heavy(self) -> bool:
        """Whether it takes two to lift."""
        return (self.gross_kg or self.slurry_kg) > LIFT_ALONE_KG

    @property
    def too_light(self) -> list[PlanLine]:
        """Lines under the smallest sensible weight of every scale."""
        return [line for line in self.lines if line.too_light]

    @property
    def fits(self) -> bool | None:
        """Whether the bucket holds it under its fill limit; None without a bucket."""
        return None if self.limit_l is None else self.to_volume_l <= self.limit_l


@dataclass(frozen=True, kw_only=True)
class _Weighed:
    """The scale a line goes on."""

    scale: Scale | None
    division_g: Decimal
    loads: int
    why: str
    smallest_g: Decimal


def plan(
    version: Version,
    wish: Wish,
    *,
    vessel: Vessel | None = None,
    scales: Iterable[Scale],
    policy: Policy,
) -> Plan:
    """The plan for a wish for one recipe version, or CannotBeMade with the numbers that would work."""
    return _plan(facts_of(version), wish, vessel=vessel, scales=list(scales), policy=policy)


def restated(batch: Batch, *, old_volume_l: Decimal | None = None, old_sg: Decimal | None = None) -> Plan:
    """The plan of a batch for the bucket as it is now: its own copy, today's scales and rules.

    ``old_volume_l`` and ``old_sg`` are what the bucket holds (L, SG); None: nothing. CannotBeMade when
    that leaves no way to the amount the batch was planned for.
    """
    wish = replace(
        wishes.from_stored(batch.copy["wish"]), old_volume_l=old_volume_l or Decimal(0), old_sg=old_sg
    )
    return _plan(facts_in(batch), wish, vessel=batch.vessel, scales=scales_in_use(), policy=in_force())


def scales_in_use() -> list[Scale]:
    """Scales that are not retired: one query."""
    return SCALES.rows()


SCALES = Prepared(lambda: Scale.objects.filter(retired_at=None))


# --- working it out


def _plan(
    recipe: RecipeFacts, wish: Wish, *, vessel: Vessel | None, scales: list[Scale], policy: Policy
) -> Plan:
    amounts = wishes.amounts_of(recipe, wish)
    brim_l = None if vessel is None else vessel.brim_l()
    if vessel is not None and brim_l is not None:
        wishes.refuse_over_limit(
            recipe, wish, amounts, code=vessel.code, brim_l=brim_l, limit_pct=policy.fill_limit_pct
        )
    on = _scales_for(recipe, wish, amounts, scales, policy)
    planned = _apportioned(recipe, wish, amounts, on)
    first_l, kept_l = _split(amounts.water_l, policy.hold_back_pct)
    return Plan(
        lines=tuple(
            _line(facts, line, on[facts.position])
            for facts, line in zip(recipe.lines, planned.lines, strict=True)
        ),
        total_pct=rounded(Decimal(recipe.all_to_base.numerator * 100) / recipe.all_to_base.denominator, 4),
        base_g=planned.base_g,
        dry_g=planned.total_g,
        exact_dry_g=planned.exact_total_g,
        rounding_g=planned.rounding_g,
        water_l=amounts.water_l,
        first_water_l=first_l,
        kept_water_l=kept_l,
        hold_back_pct=policy.hold_back_pct,
        old_volume_l=wish.old_volume_l,
        old_sg=wish.old_sg,
        to_volume_l=amounts.to_volume_l,
        to_sg=wish.to_sg,
        min_volume_l=amounts.min_volume_l,
        thin_water_l=amounts.thin_water_l,
        thin_volume_l=amounts.thin_volume_l,
        made_l=_made_l(recipe, wish, planned.total_g),
        slurry_kg=rounded(amounts.to_volume_l * wish.to_sg, 3),
        gross_kg=_gross_kg(vessel, wish, planned.total_g, amounts.water_l),
        first_gross_kg=_gross_kg(vessel, wish, planned.total_g, first_l),
        fill_pct=rounded(100 * float(amounts.to_volume_l) / brim_l, 1) if brim_l else None,
        limit_l=rounded(brim_l * float(policy.fill_limit_pct) / 100, 3) if brim_l else None,
    )


def _scales_for(
    recipe: RecipeFacts, wish: Wish, amounts: Amounts, scales: list[Scale], policy: Policy
) -> dict[int, _Weighed]:
    """The scale of every line by its exact grams, or a refusal when no scale would show it at all."""
    known = {str(scale.pk): scale for scale in scales if scale.capacity_g > policy.load_margin_g}
    finest_g = min((scale.division_g for scale in known.values()), default=NO_SCALE_DIVISION_G)
    in_parts = sum((line.parts for line in recipe.lines), Decimal(0))
    choices = [
        tolerance.Scale(
            key=key,
            capacity_g=scale.capacity_g,
            division_g=scale.division_g,
            kept_free_g=policy.load_margin_g,
        )
        for key, scale in known.items()
    ]
    on = {}
    for line in recipe.lines:
        exact_g = amounts.dry_g * line.parts / in_parts
        if exact_g < finest_g / 2:
            least_g = finest_g * policy.smallest_divisions
            wishes.refuse_too_small(recipe, wish, line, amounts, least_g=least_g)
        on[line.position] = _weighed(line, exact_g, choices, known, policy)
    return on


def _weighed(
    line: LineFacts,
    exact_g: Decimal,
    choices: list[tolerance.Scale],
    known: dict[str, Scale],
    policy: Policy,
) -> _Weighed:
    if not choices:
        return _Weighed(
            scale=None, division_g=NO_SCALE_DIVISION_G, loads=1, why="no scale", smallest_g=Decimal(0)
        )
    choice = tolerance.choose_scale(
        target_g=exact_g,
        scales=choices,
        smallest_divisions=policy.smallest_divisions,
        colourant=line.colourant,
        opacifier=line.opacifier,
    )
    return _Weighed(
        scale=known[choice.scale.key],
        division_g=choice.scale.division_g,
        loads=choice.loads,
        why=choice.why,
        smallest_g=choice.smallest_g,
    )


def _apportioned(recipe: RecipeFacts, wish: Wish, amounts: Amounts, on: dict[int, _Weighed]) -> PlannedLines:
    planned = scale_lines(
        lines=[RecipeLine(key=str(x.position), kind=x.kind, parts=x.parts) for x in recipe.lines],  # type: ignore[arg-type]
        divisions_g={str(position): weighed.division_g for position, weighed in on.items()},
        total_dry_g=amounts.dry_g,
    )
    for facts in recipe.lines:
        if str(facts.position) in planned.too_small:
            wishes.refuse_too_small(recipe, wish, facts, amounts, least_g=on[facts.position].smallest_g)
    return planned


def _line(facts: LineFacts, planned: PlannedLine, on: _Weighed) -> PlanLine:
    band_g = tolerance.accept_band_g(
        target_g=planned.mass_g,
        share_pct=max(planned.share_pct, LEAST_PCT),
        division_g=on.division_g,
        colourant=facts.colourant,
        opacifier=facts.opacifier,
        additive=facts.additive,
    )
    return PlanLine(
        position=facts.position,
        kind=facts.kind,
        material_id=facts.material_id,
        name=facts.name,
        parts=facts.parts,
        pct_of_base=planned.pct_of_base,
        share_pct=planned.share_pct,
        target_g=planned.mass_g,
        band_g=rounded(band_g, 3),
        scale_id=on.scale.pk if on.scale else None,
        scale_name=on.scale.name if on.scale else "",
        loads=on.loads,
        why=on.why,
        smallest_g=on.smallest_g,
        hazard_words=facts.hazard_words,
    )


def _split(water_l: Decimal, hold_back_pct: Decimal) -> tuple[Decimal, Decimal]:
    """First water and what is kept back: whole millilitres that sum to the water."""
    first = first_water(water_l=float(water_l), hold_back_pct=float(hold_back_pct))
    first_l = rounded(first.first_l, 3)
    return first_l, water_l - first_l


def _made_l(recipe: RecipeFacts, wish: Wish, dry_g: Decimal) -> Decimal:
    volume_l = volume_from_dry(
        dry_kg=float(dry_g) / 1000, sg=float(wish.to_sg), rho_s=float(recipe.particle_density)
    )
    return rounded(volume_l, 3)


def _gross_kg(vessel: Vessel | None, wish: Wish, dry_g: Decimal, water_l: Decimal) -> Decimal | None:
    if vessel is None:
        return None
    expected = expected_gross_kg(
        vessel_kg=float(vessel.empty_g) / 1000,
        powder_kg=float(dry_g) / 1000,
        water_l=float(water_l),
        old_volume_l=float(wish.old_volume_l),
        old_sg=float(wish.old_sg or 1),
    )
    return rounded(expected.gross_kg, 3)
