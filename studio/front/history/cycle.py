"""What is the same each time a bucket is brought up with one recipe: its plan, copy and shares."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from batches import planning, wishes
from batches.copies import copy_of
from batches.models import Request
from buckets.calc.lineage import dry_shares
from buckets.operations.fills import contents_of
from studio.calc.slurry import dry_from_volume
from studio.front.history.sheets import json
from studio.quantities import rounded
from studio.recipes.models import Version
from studio.room.models import Scale, Vessel
from studio.room.policy import in_force

OLD_L, TO_L = Decimal("7.0"), Decimal("14.0")  # brought up from, to


@dataclass(frozen=True)
class PotLine:
    """One line to weigh, in whole milligrams."""

    position: int
    kind: str
    material: int
    name: str
    words: str
    parts: int
    share_pct: int
    target: int
    band: int
    scale: int | None
    loads: int


@dataclass(frozen=True)
class Cycle:
    """One recipe version brought from 7 L at its target to 14 L; amounts in their smallest units."""

    version: Version
    plan: planning.Plan
    lines: tuple[PotLine, ...]
    typed: Any
    copy: Any
    contents: Any
    old_dry: int
    batch_share: int
    old_share: int


def cycle_of(version: Version, vessel: Vessel, scales: list[Scale]) -> Cycle:
    wish = planning.Wish(
        kind=Request.Wish.BRING_TO,
        litres=TO_L,
        to_sg=version.target_sg,
        old_volume_l=OLD_L,
        old_sg=version.target_sg,
    )
    plan = planning.plan(version, wish, vessel=vessel, scales=scales, policy=in_force())
    powder = float(version.particle_density)
    old_kg = dry_from_volume(volume_l=float(OLD_L), sg=float(version.target_sg), rho_s=powder)
    old_g = rounded(1000 * old_kg, 3)
    shares = dry_shares(dry_g={"batch": plan.dry_g, "old": old_g})
    return Cycle(
        version=version,
        plan=plan,
        lines=tuple(_pot_line(line) for line in plan.lines),
        typed=json({"text": "", **wishes.stored(wish)}),
        copy=json({**copy_of(version), "wish": wishes.stored(wish)}),
        contents=json(contents_of(version)),
        old_dry=whole(old_g, 3),
        batch_share=whole(shares["batch"], 6),
        old_share=whole(shares["old"], 6),
    )


def whole(amount: Decimal, places: int) -> int:
    """An exact amount in its smallest unit."""
    return int(amount.scaleb(places))


def _pot_line(line: planning.PlanLine) -> PotLine:
    return PotLine(
        position=line.position,
        kind=str(line.kind),
        material=line.material_id,
        name=line.name,
        words=line.hazard_words,
        parts=whole(line.parts, 4),
        share_pct=whole(line.share_pct, 4),
        target=whole(line.target_g, 3),
        band=whole(line.band_g, 3),
        scale=line.scale_id,
        loads=line.loads,
    )
