"""Density, solids and dry mass of one slurry (the reference's section a)."""

from collections.abc import Sequence
from dataclasses import dataclass

from studio.calc.arguments import above, between, not_negative, positive


@dataclass(frozen=True)
class Slurry:
    """One slurry from all sides. kg and L; the three meanings of "per cent water" apart."""

    rho: float
    phi: float
    w: float
    dry_kg_per_l: float
    water_kg_per_l: float
    water_per_dry: float
    pct_water_wet_basis: float
    pct_water_on_dry: float
    pct_water_by_volume: float


@dataclass(frozen=True)
class SgRho:
    """A specific gravity and the density (kg/L) it stands for."""

    sg: float
    rho: float


def check_slurry(*, sg: float, rho_s: float, rho_w: float) -> None:
    """Refuse an SG that no slurry of this powder can have: at or under 1, at or over the powder's own."""
    positive(rho_w=rho_w)
    above(rho_w, rho_s=rho_s)
    if not 1 < sg < rho_s / rho_w:
        raise ValueError(f"sg must be above 1 and below {rho_s / rho_w:.4g}, the powder's own, got {sg}")


def dry_at(*, rho: float, rho_s: float, rho_w: float) -> float:
    """Dry kg in a litre of density ``rho``, unchecked: C of the reference."""
    return rho_s * (rho - rho_w) / (rho_s - rho_w)


def mean_density(*, masses: Sequence[float], densities: Sequence[float]) -> float:
    """Particle density (kg/L) of a mixture: total mass over total volume, the harmonic mean.

    ``masses`` in any one unit, 0 or more, not all 0; ``densities`` in kg/L, above 0. ValueError
    otherwise. Derived; particle densities never average arithmetically.
    """
    if len(masses) != len(densities):
        raise ValueError(f"masses and densities must pair up, got {len(masses)} and {len(densities)}")
    not_negative(**{f"masses[{i}]": m for i, m in enumerate(masses)})
    positive(**{f"densities[{i}]": d for i, d in enumerate(densities)})
    positive(total_mass=sum(masses))
    return sum(masses) / sum(m / rho for m, rho in zip(masses, densities, strict=True))


def slurry(*, sg: float, rho_s: float, rho_w: float = 1.0) -> Slurry:
    """Everything that SG and particle density say about one slurry.

    ``sg`` above 1 and below ``rho_s / rho_w``; densities in kg/L. ValueError otherwise. In practice
    phi stays under 0.45 to 0.5 (common practice, no source). Derived.
    """
    check_slurry(sg=sg, rho_s=rho_s, rho_w=rho_w)
    rho = sg * rho_w
    phi = (rho - rho_w) / (rho_s - rho_w)
    w = phi * rho_s / rho
    return Slurry(
        rho=rho,
        phi=phi,
        w=w,
        dry_kg_per_l=dry_at(rho=rho, rho_s=rho_s, rho_w=rho_w),
        water_kg_per_l=(1 - phi) * rho_w,
        water_per_dry=(1 - w) / w,
        pct_water_wet_basis=100 * (1 - w),
        pct_water_on_dry=100 * (1 - w) / w,
        pct_water_by_volume=100 * (1 - phi),
    )


def sg_from(
    *,
    rho_s: float,
    rho_w: float = 1.0,
    w: float | None = None,
    phi: float | None = None,
    dry_kg_per_l: float | None = None,
    water_per_dry: float | None = None,
) -> SgRho:
    """SG and density from exactly one of: mass share, volume share, dry kg in a litre, water per dry.

    Shares 0 to 1, ``water_per_dry`` in kg of water to 1 kg of powder. ValueError when none or several
    are given, or out of range. Derived: the inverses of ``slurry``.
    """
    positive(rho_w=rho_w)
    above(rho_w, rho_s=rho_s)
    given = [x for x in (w, phi, dry_kg_per_l, water_per_dry) if x is not None]
    if len(given) != 1:
        raise ValueError(f"one of w, phi, dry_kg_per_l, water_per_dry is wanted, got {len(given)}")
    if water_per_dry is not None:
        not_negative(water_per_dry=water_per_dry)
        w = 1 / (1 + water_per_dry)
    if w is not None:
        between(0, 1, w=w)
        rho = 1 / (w / rho_s + (1 - w) / rho_w)
    elif phi is not None:
        between(0, 1, phi=phi)
        rho = rho_w + phi * (rho_s - rho_w)
    else:
        assert dry_kg_per_l is not None  # noqa: S101 - the count above says so
        between(0, rho_s, dry_kg_per_l=dry_kg_per_l)
        rho = rho_w + dry_kg_per_l * (1 - rho_w / rho_s)
    return SgRho(sg=rho / rho_w, rho=rho)


def rho_s_from_dry(*, rho: float, dry_kg_per_l: float, rho_w: float = 1.0) -> float:
    """Particle density (kg/L) from a litre's weight and what it leaves when dried to constant mass.

    ``rho`` above ``rho_w``, ``dry_kg_per_l`` above ``rho - rho_w``, all kg/L. ValueError otherwise.
    Derived: the solids displace ``C - (rho - rho_w)`` kg of water.
    """
    positive(rho_w=rho_w)
    above(rho_w, rho=rho)
    above(rho - rho_w, dry_kg_per_l=dry_kg_per_l)
    return dry_kg_per_l * rho_w / (dry_kg_per_l - (rho - rho_w))


def dry_g_per_l(*, litre_mass_g: float, rho_s: float, rho_w: float = 1.0) -> float:
    """Grams of dry glaze in one litre that weighs ``litre_mass_g``; densities in kg/L.

    ``litre_mass_g`` at least that of a litre of water and at most that of the powder. ValueError
    otherwise. Source: the relation of Brongniart in SI units (derived); handbook table agrees (opened).
    """
    positive(rho_w=rho_w)
    above(rho_w, rho_s=rho_s)
    between(1000 * rho_w, 1000 * rho_s, litre_mass_g=litre_mass_g)
    return (litre_mass_g - 1000 * rho_w) * rho_s / (rho_s - rho_w)


def volume_from_dry(*, dry_kg: float, sg: float, rho_s: float, rho_w: float = 1.0) -> float:
    """Litres of slurry at ``sg`` that ``dry_kg`` of powder make. Derived: dry over dry per litre."""
    not_negative(dry_kg=dry_kg)
    check_slurry(sg=sg, rho_s=rho_s, rho_w=rho_w)
    return dry_kg / dry_at(rho=sg * rho_w, rho_s=rho_s, rho_w=rho_w)


def dry_from_volume(*, volume_l: float, sg: float, rho_s: float, rho_w: float = 1.0) -> float:
    """Kilograms of dry powder in ``volume_l`` litres at ``sg``. Inverse of ``volume_from_dry``."""
    not_negative(volume_l=volume_l)
    check_slurry(sg=sg, rho_s=rho_s, rho_w=rho_w)
    return volume_l * dry_at(rho=sg * rho_w, rho_s=rho_s, rho_w=rho_w)


def volume_from_mass(*, slurry_kg: float, sg: float, rho_w: float = 1.0) -> float:
    """Litres that ``slurry_kg`` of slurry at ``sg`` (above 0) are. Derived: mass over density."""
    not_negative(slurry_kg=slurry_kg)
    positive(sg=sg, rho_w=rho_w)
    return slurry_kg / (sg * rho_w)
