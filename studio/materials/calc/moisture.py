"""What a damp or fired material holds of what the recipe wants: moisture, loss in firing, calcined shares."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from studio.calc.arguments import between, not_negative, positive

# Standard atomic weights, abridged (IUPAC, from memory, as the reference lists them).
ATOMS = {
    "H": 1.008,
    "Li": 6.94,
    "B": 10.81,
    "C": 12.011,
    "O": 15.999,
    "Na": 22.990,
    "Mg": 24.305,
    "Al": 26.982,
    "Si": 28.085,
    "S": 32.06,
    "Ca": 40.078,
    "Mn": 54.938,
    "Co": 58.933,
    "Cu": 63.546,
    "Sr": 87.62,
    "Ba": 137.33,
}


@dataclass(frozen=True)
class Moist:
    """Grams of the damp material to weigh, and the water that comes along: take it off the batch's."""

    weigh_g: float
    water_carried_g: float


@dataclass(frozen=True)
class LossOnIgnition:
    """Grams per mole, what is lost in firing in %, what one part of raw leaves, raw for one of calcined."""

    molar_mass: float
    loi_pct: float
    calcined_factor: float
    raw_per_calcined: float


@dataclass(frozen=True)
class CalcinedSwap:
    """A kaolin part raw and part calcined that brings the same clay."""

    raw_g: float
    calcined_g: float


def moist_weigh(*, dry_needed_g: float, moisture_pct: float, basis: Literal["wet", "dry"] = "wet") -> Moist:
    """What to weigh of a damp material.

    ``moisture_pct`` of the damp mass (``wet``, under 100) or of the dry one (``dry``): the same number
    is not the same powder, so the basis is asked for. 0 or more; ValueError otherwise. Derived.
    """
    not_negative(dry_needed_g=dry_needed_g)
    if basis not in ("wet", "dry"):
        raise ValueError(f"basis must be wet or dry, got {basis}")
    dry_basis_pct = moisture_pct if basis == "dry" else dry_basis(wet_basis_pct=moisture_pct)
    not_negative(moisture_pct=dry_basis_pct)
    carried_g = dry_needed_g * dry_basis_pct / 100
    return Moist(weigh_g=dry_needed_g + carried_g, water_carried_g=carried_g)


def dry_basis(*, wet_basis_pct: float) -> float:
    """Moisture in % of the dry mass from % of the damp mass, 0 to under 100. Derived."""
    between(0, 99.9, wet_basis_pct=wet_basis_pct)
    return 100 * wet_basis_pct / (100 - wet_basis_pct)


def loss_on_ignition(*, formula: Mapping[str, float], lost: Mapping[str, float]) -> LossOnIgnition:
    """What a pure mineral loses in firing, from the atoms in its formula and those of them that leave.

    Real materials differ: a loss measured on the bag wins. ValueError for an unknown atom, for one that
    leaves without being there, and when nothing stays. Derived from atomic weights.
    """
    whole, gone = _mass(formula), _mass(lost)
    absent = [atom for atom, number in lost.items() if number > formula.get(atom, 0)]
    if absent:
        raise ValueError(f"more {', '.join(absent)} is lost than the formula holds")
    positive(molar_mass=whole, stays=whole - gone)
    left = (whole - gone) / whole
    return LossOnIgnition(whole, 100 * gone / whole, left, 1 / left)


def calcined_swap(*, kaolin_g: float, share_calcined: float, loi_pct: float) -> CalcinedSwap:
    """Raw and calcined kaolin for ``kaolin_g`` of raw, ``share_calcined`` (0 to 1) of it calcined.

    ``loi_pct`` of the raw one, 0 to under 100; best the measured one. ValueError otherwise. Derived.
    """
    not_negative(kaolin_g=kaolin_g)
    between(0, 1, share_calcined=share_calcined)
    between(0, 99.9, loi_pct=loi_pct)
    calcined_g = kaolin_g * share_calcined * (1 - loi_pct / 100)
    return CalcinedSwap(raw_g=kaolin_g * (1 - share_calcined), calcined_g=calcined_g)


def _mass(atoms: Mapping[str, float]) -> float:
    if unknown := sorted(set(atoms) - set(ATOMS)):
        raise ValueError(f"no atomic weight is known for {', '.join(unknown)}")
    not_negative(**{f"number of {atom}": number for atom, number in atoms.items()})
    return sum(ATOMS[atom] * number for atom, number in atoms.items())
