"""A weighed known volume with the room's own glass and scale becomes a specific gravity."""

from dataclasses import dataclass
from decimal import Decimal

from studio.calc.gravity import Verdict, sg_known_volume, uncertainty_of_weighing, verdict
from studio.quantities import rounded
from studio.room.models import Glass, Scale


@dataclass(frozen=True, kw_only=True)
class Measured:
    """SG by the studio's convention (grams per mL over 1), and its standard uncertainty if known."""

    sg: Decimal
    u_sg: Decimal | None


def weighed(*, gross_g: Decimal, tare_g: Decimal, glass: Glass, scale: Scale | None) -> Measured:
    """SG of what fills ``glass``: gross minus tare (g) over its volume; u from glass and scale.

    The scale's tolerance is taken as its division. ValueError when gross is not above tare.
    """
    sg = sg_known_volume(gross_g=float(gross_g), tare_g=float(tare_g), volume_ml=float(glass.volume_ml))
    u_sg = uncertainty_of(sg=Decimal(repr(sg)), glass=glass, scale=scale) if scale else None
    return Measured(sg=rounded(sg, 4), u_sg=u_sg)


def uncertainty_of(*, sg: Decimal, glass: Glass, scale: Scale) -> Decimal:
    """Standard uncertainty of an SG weighed with this pair, five places."""
    u = uncertainty_of_weighing(
        sg=float(sg),
        volume_ml=float(glass.volume_ml),
        tol_volume_ml=float(glass.tolerance_ml),
        tol_scale_g=float(scale.division_g),
    )
    return rounded(u.u, 5)


def verdict_of(
    *, sg: Decimal, u_sg: Decimal | None, target: Decimal | None, half_window: Decimal | None
) -> Verdict | None:
    """Inside, outside or undecided; None without a window. An unknown U counts as 0.01.

    0.01 is what two readings of one stir may differ by (common practice, no source).
    """
    if target is None or half_window is None:
        return None
    u = float(u_sg) if u_sg is not None else 0.005
    return verdict(reading=float(sg), target=float(target), half_window=float(half_window), u=u)
