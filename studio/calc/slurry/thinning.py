"""Thinning, thickening, decanting and side buckets (the reference's sections c and d)."""

from dataclasses import dataclass

from studio.calc.arguments import above, at_least, between, not_negative, positive
from studio.calc.slurry.density import check_slurry, dry_at, slurry


@dataclass(frozen=True)
class Thin:
    """Water to add and the volume then. Negative water is clear water to take off."""

    water_l: float
    volume_l: float


@dataclass(frozen=True)
class ThinByMass:
    """Water to add and the mass then. Negative water is clear water to take off."""

    water_kg: float
    slurry_kg: float


@dataclass(frozen=True)
class Thicken:
    """Powder to stir in and the volume then."""

    powder_kg: float
    volume_l: float


@dataclass(frozen=True)
class Decant:
    """Clear water to take off after settling, whether there is that much, and what goes with it."""

    decant_l: float
    clear_water_available_l: float
    feasible: bool
    volume_l: float
    salt_lost_g: float
    fraction_of_dissolved_lost: float


@dataclass(frozen=True)
class WithLiquor:
    """Dry mass as assumed with plain water and as it is with a denser liquor; error of the former in %."""

    dry_assumed_kg_per_l: float
    dry_true_kg_per_l: float
    error_pct: float


@dataclass(frozen=True)
class SideBucket:
    """Stock and water for a thinner side bucket; ``needs_powder`` when the stock is too thin."""

    stock_l: float
    water_l: float
    status: str


@dataclass(frozen=True)
class SideBucketThicker:
    """Stock and powder for a thicker side bucket."""

    stock_l: float
    powder_kg: float


def thin(*, volume_l: float, sg: float, to_sg: float) -> Thin:
    """Litres of water that bring a slurry down to ``to_sg``.

    Negative water is the clear water to take off after settling (then see ``decant``). Both SG above
    1. ValueError otherwise. Derived: water adds volume and no excess mass, so V (G - 1) stays.
    """
    not_negative(volume_l=volume_l)
    above(1, sg=sg, to_sg=to_sg)
    return Thin(
        water_l=volume_l * (sg - to_sg) / (to_sg - 1),
        volume_l=volume_l * (sg - 1) / (to_sg - 1),
    )


def thin_by_mass(
    *, slurry_kg: float, sg: float, to_sg: float, rho_s: float, rho_w: float = 1.0
) -> ThinByMass:
    """Kilograms of water that bring ``slurry_kg`` of slurry down to ``to_sg``. Derived: dry mass stays."""
    not_negative(slurry_kg=slurry_kg)
    w1 = slurry(sg=sg, rho_s=rho_s, rho_w=rho_w).w
    w2 = slurry(sg=to_sg, rho_s=rho_s, rho_w=rho_w).w
    water_kg = slurry_kg * (w1 / w2 - 1)
    return ThinByMass(water_kg=water_kg, slurry_kg=slurry_kg + water_kg)


def sg_after_water(*, volume_l: float, sg: float, water_l: float) -> float:
    """SG after stirring in ``water_l`` litres of water. Inverse of ``thin``; ``volume_l`` above 0."""
    positive(volume_l=volume_l)
    not_negative(water_l=water_l)
    at_least(1, sg=sg)
    return (volume_l * sg + water_l) / (volume_l + water_l)


def thicken_powder(*, volume_l: float, sg: float, to_sg: float, rho_s: float, rho_w: float = 1.0) -> Thicken:
    """Kilograms of powder to stir in to raise a slurry to ``to_sg``, and the litres then.

    ``sg`` 1 or more, ``to_sg`` from ``sg`` to under the powder's own. ValueError otherwise.
    Derived: rho1 V1 + x = rho2 (V1 + x / rho_s).
    """
    not_negative(volume_l=volume_l)
    check_slurry(sg=to_sg, rho_s=rho_s, rho_w=rho_w)
    between(1, to_sg, sg=sg)
    rho1, rho2 = sg * rho_w, to_sg * rho_w
    x = rho_s * volume_l * (rho2 - rho1) / (rho_s - rho2)
    return Thicken(powder_kg=x, volume_l=volume_l + x / rho_s)


def decant(
    *,
    volume_l: float,
    sg: float,
    to_sg: float,
    rho_s: float,
    phi_bed: float,
    salt_g_per_l: float = 0.0,
    rho_w: float = 1.0,
) -> Decant:
    """Clear water to take off to raise a settled slurry to ``to_sg``, and what is lost with it.

    ``phi_bed`` is the solids' share of the settled bed: 0.3 flocculated to 0.5 dispersed (common
    practice, no source), measured as phi x height over bed height after a night. What is dissolved goes
    with the water: never decant a recipe with soluble materials without saying so. Derived.
    """
    not_negative(volume_l=volume_l, salt_g_per_l=salt_g_per_l)
    above(0, phi_bed=phi_bed)
    between(0, 1, phi_bed=phi_bed)
    check_slurry(sg=to_sg, rho_s=rho_s, rho_w=rho_w)
    positive(volume_l=volume_l)
    at_least(sg, to_sg=to_sg)
    phi = slurry(sg=sg, rho_s=rho_s, rho_w=rho_w).phi
    d = volume_l * (to_sg - sg) / (to_sg - 1)
    available = max(0.0, volume_l * (1 - phi / phi_bed))
    return Decant(
        decant_l=d,
        clear_water_available_l=available,
        feasible=d <= available,
        volume_l=volume_l - d,
        salt_lost_g=salt_g_per_l * d,
        fraction_of_dissolved_lost=d / ((1 - phi) * volume_l),
    )


def with_liquor(*, sg: float, rho_s: float, rho_liquor: float, rho_w: float = 1.0) -> WithLiquor:
    """How far dry mass from SG is off when the water holds dissolved matter.

    ``rho_liquor`` in kg/L, from ``rho_w`` to under ``sg * rho_w``. ValueError otherwise. Derived: the
    same formula with the liquor's density in place of water's.
    """
    check_slurry(sg=sg, rho_s=rho_s, rho_w=rho_w)
    rho = sg * rho_w
    if not rho_w <= rho_liquor < rho:
        raise ValueError(f"rho_liquor must be {rho_w:g} to under {rho:g}, got {rho_liquor}")
    assumed = dry_at(rho=rho, rho_s=rho_s, rho_w=rho_w)
    true = dry_at(rho=rho, rho_s=rho_s, rho_w=rho_liquor)
    return WithLiquor(
        dry_assumed_kg_per_l=assumed, dry_true_kg_per_l=true, error_pct=100 * (assumed / true - 1)
    )


def side_bucket(*, volume_l: float, sg_stock: float, sg_target: float) -> SideBucket:
    """Stock and water for ``volume_l`` litres at ``sg_target``; both SG above 1.

    With a stock thinner than the target the status is ``needs_powder`` and the water negative: see
    ``side_bucket_thicker``. Stir the stock to the floor first, or both buckets are wrong. Derived:
    the excess mass comes from the stock.
    """
    not_negative(volume_l=volume_l)
    above(1, sg_stock=sg_stock, sg_target=sg_target)
    v = volume_l * (sg_target - 1) / (sg_stock - 1)
    return SideBucket(
        stock_l=v, water_l=volume_l - v, status="ok" if sg_target <= sg_stock else "needs_powder"
    )


def side_bucket_thicker(
    *, volume_l: float, sg_stock: float, sg_target: float, rho_s: float, rho_w: float = 1.0
) -> SideBucketThicker:
    """Stock and powder for ``volume_l`` litres thicker than the stock. Derived as ``thicken_powder``."""
    not_negative(volume_l=volume_l)
    check_slurry(sg=sg_target, rho_s=rho_s, rho_w=rho_w)
    between(1, sg_target, sg_stock=sg_stock)
    rho1, rho2 = sg_stock * rho_w, sg_target * rho_w
    x = volume_l * (rho2 - rho1) * rho_s / (rho_s - rho1)
    return SideBucketThicker(stock_l=volume_l - x / rho_s, powder_kg=x)
