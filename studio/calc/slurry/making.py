"""Making up, topping up and mixing (the reference's section b)."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from studio.calc.arguments import above, at_least, between, finite, not_negative, positive
from studio.calc.slurry.density import dry_at, mean_density, slurry

NOISE = 1e-9  # an amount this small, in kg or L, is rounding noise of the machine


@dataclass(frozen=True)
class MakeUp:
    """What a volume of slurry is made of."""

    dry_kg: float
    water_kg: float
    water_l: float
    slurry_kg: float


@dataclass(frozen=True)
class MoistMakeUp:
    """What to weigh when powders are damp: one entry a line, and the water they bring along."""

    dry_kg: tuple[float, ...]
    weigh_kg: tuple[float, ...]
    water_carried_kg: float
    water_to_add_kg: float


@dataclass(frozen=True)
class TopUp:
    """What brings a bucket to another volume and SG, or the ways out when nothing can be added.

    ``status``: ``ok``; ``too_much_solids`` (powder would be negative); ``too_much_water`` (water would
    be negative); ``target_sg_impossible`` (nothing else is given then). ``powder_kg`` and ``water_kg``
    are negative when that much would have to come out. The ways out are None where they do not apply.
    """

    status: str
    powder_kg: float | None = None
    water_kg: float | None = None
    water_l: float | None = None
    min_volume_l: float | None = None
    remove_slurry_first_l: float | None = None
    then_water_l: float | None = None
    then_powder_kg: float | None = None
    decant_instead_l: float | None = None
    sg_if_powder_only: float | None = None


@dataclass(frozen=True)
class Mix:
    """Two slurries poured together. Recipes blend by dry mass: ``dry_share_of_first`` is 0 to 1."""

    volume_l: float
    sg: float
    dry_kg: float
    rho_s: float
    dry_share_of_first: float


def make_up(*, volume_l: float, sg: float, rho_s: float, rho_w: float = 1.0) -> MakeUp:
    """Powder and water for ``volume_l`` litres at ``sg``.

    ``volume_l`` above 0, ``sg`` above 1 and below the powder's own. ValueError otherwise. Derived.
    """
    positive(volume_l=volume_l)
    s = slurry(sg=sg, rho_s=rho_s, rho_w=rho_w)
    water_kg = s.water_kg_per_l * volume_l
    return MakeUp(
        dry_kg=s.dry_kg_per_l * volume_l,
        water_kg=water_kg,
        water_l=water_kg / rho_w,
        slurry_kg=s.rho * volume_l,
    )


def make_up_moist(
    *,
    volume_l: float,
    sg: float,
    rho_s: float,
    dry_parts: Sequence[float],
    moisture_pct: Sequence[float],
    rho_w: float = 1.0,
) -> MoistMakeUp:
    """Lines to weigh for ``volume_l`` litres when powders hold water, and the water still to add.

    ``dry_parts`` in any sum; ``moisture_pct`` on the damp mass, 0 to under 100. A negative
    ``water_to_add_kg`` says that the powders bring more water than the slurry takes. Derived.
    """
    if len(dry_parts) != len(moisture_pct):
        raise ValueError(
            f"dry_parts and moisture_pct must pair up, got {len(dry_parts)} and {len(moisture_pct)}"
        )
    not_negative(**{f"dry_parts[{i}]": p for i, p in enumerate(dry_parts)})
    between(0, 99.999, **{f"moisture_pct[{i}]": p for i, p in enumerate(moisture_pct)})
    positive(total_parts=sum(dry_parts))
    whole = make_up(volume_l=volume_l, sg=sg, rho_s=rho_s, rho_w=rho_w)
    dry = tuple(whole.dry_kg * part / sum(dry_parts) for part in dry_parts)
    weigh = tuple(m / (1 - pct / 100) for m, pct in zip(dry, moisture_pct, strict=True))
    carried = sum(weigh) - sum(dry)
    return MoistMakeUp(
        dry_kg=dry, weigh_kg=weigh, water_carried_kg=carried, water_to_add_kg=whole.water_kg - carried
    )


def top_up(
    *, volume_l: float, sg: float, to_volume_l: float, to_sg: float, rho_s_added: float, rho_w: float = 1.0
) -> TopUp:
    """Powder and water that bring a bucket to ``to_volume_l`` at ``to_sg``, or the ways out.

    ``volume_l`` 0 or more (0: an empty bucket) and ``sg`` 1 or more are what is in it; ``rho_s_added``
    is the density of the powder to add. The density of what is in the bucket drops out. A target that
    cannot be is a status, not an error; ValueError only for amounts that make no sense. Derived:
    x + y = rho2 V2 - rho1 V1 and x / rho_s + y / rho_w = V2 - V1.
    """
    not_negative(volume_l=volume_l)
    positive(to_volume_l=to_volume_l, rho_w=rho_w)
    above(rho_w, rho_s_added=rho_s_added)
    finite(to_sg=to_sg)
    at_least(1, sg=sg)
    v1, v2, rho1, rho2, rho_s = volume_l, to_volume_l, sg * rho_w, to_sg * rho_w, rho_s_added
    if not rho_w < rho2 < rho_s:
        return TopUp(status="target_sg_impossible")
    x = _unless_noise(((rho2 - rho_w) * v2 - (rho1 - rho_w) * v1) * rho_s / (rho_s - rho_w))
    y = _unless_noise(rho2 * v2 - rho1 * v1 - x)
    v_min = v1 * max((rho1 - rho_w) / (rho2 - rho_w), (rho_s - rho1) / (rho_s - rho2))
    found = TopUp(status="ok", powder_kg=x, water_kg=y, water_l=y / rho_w, min_volume_l=v_min)
    if x >= 0 and y >= 0:
        return found
    r = v1 * (1 - v2 / v_min)
    if to_sg <= sg:
        return replace(found, status="too_much_solids", remove_slurry_first_l=r, then_water_l=v2 - (v1 - r))
    return replace(
        found,
        status="too_much_water",
        remove_slurry_first_l=r,
        then_powder_kg=rho_s * (v2 - v1 + r),
        decant_instead_l=-y / rho_w if x >= 0 else None,
        sg_if_powder_only=(rho1 * v1 + rho_s * (v2 - v1)) / (v2 * rho_w) if v2 >= v1 else None,
    )


def _unless_noise(amount: float) -> float:
    return 0.0 if abs(amount) < NOISE else amount


def mix(
    *,
    volume_1_l: float,
    sg_1: float,
    rho_s_1: float,
    volume_2_l: float,
    sg_2: float,
    rho_s_2: float,
    rho_w: float = 1.0,
) -> Mix:
    """What two slurries become when poured together.

    Volumes 0 or more; SG 1 (plain water) or more and below each powder's own. At least one of them
    must hold powder. ValueError otherwise. Derived: masses, volumes and solids each add up.
    """
    not_negative(volume_1_l=volume_1_l, volume_2_l=volume_2_l)
    positive(rho_w=rho_w)
    above(rho_w, rho_s_1=rho_s_1, rho_s_2=rho_s_2)
    between(1, rho_s_1 / rho_w, sg_1=sg_1)
    between(1, rho_s_2 / rho_w, sg_2=sg_2)
    dry_1 = volume_1_l * dry_at(rho=sg_1 * rho_w, rho_s=rho_s_1, rho_w=rho_w)
    dry_2 = volume_2_l * dry_at(rho=sg_2 * rho_w, rho_s=rho_s_2, rho_w=rho_w)
    positive(dry_kg=dry_1 + dry_2)
    volume_l = volume_1_l + volume_2_l
    return Mix(
        volume_l=volume_l,
        sg=(sg_1 * volume_1_l + sg_2 * volume_2_l) / volume_l,
        dry_kg=dry_1 + dry_2,
        rho_s=mean_density(masses=(dry_1, dry_2), densities=(rho_s_1, rho_s_2)),
        dry_share_of_first=dry_1 / (dry_1 + dry_2),
    )
