"""Another glaze in the bucket: how much of it there is at the very most, and what it does to the colour."""

from collections.abc import Mapping
from dataclasses import dataclass

from studio.calc.slurry import mix


@dataclass(frozen=True)
class WorstCase:
    """Both together: litres, SG, dry grams of the foreign glaze and in all, and its share of the dry."""

    volume_l: float
    sg: float
    foreign_g: float
    dry_g: float
    share: float


def worst_case(
    *, foreign_l: float, foreign_sg: float, foreign_rho_s: float, volume_l: float, sg: float, rho_s: float
) -> WorstCase:
    """What ``foreign_l`` litres of another glaze come to in ``volume_l`` litres, all of it mixed in.

    Litres 0 or more, SG 1 or more and below each powder's own density (g/mL). ValueError otherwise, and
    when neither holds powder. Derived: masses, volumes and solids each add up.
    """
    both = mix(
        volume_1_l=volume_l,
        sg_1=sg,
        rho_s_1=rho_s,
        volume_2_l=foreign_l,
        sg_2=foreign_sg,
        rho_s_2=foreign_rho_s,
    )
    share = 1 - both.dry_share_of_first
    dry_g = 1000 * both.dry_kg
    return WorstCase(volume_l=both.volume_l, sg=both.sg, foreign_g=share * dry_g, dry_g=dry_g, share=share)


def shifted_pct(
    *, share: float, here_pct: Mapping[str, float], foreign_pct: Mapping[str, float]
) -> dict[str, tuple[float, float]]:
    """Per material its percent of the dry glaze before, and with ``share`` (0 to 1) of the foreign one.

    Percents of all dry matter, additions included. ValueError for a share outside 0 to 1. Derived:
    recipes blend by dry mass.
    """
    if not 0 <= share <= 1:
        raise ValueError(f"share must lie between 0 and 1, got {share}")
    names = dict.fromkeys([*here_pct, *foreign_pct])
    return {
        name: (
            here_pct.get(name, 0.0),
            (1 - share) * here_pct.get(name, 0.0) + share * foreign_pct.get(name, 0.0),
        )
        for name in names
    }
