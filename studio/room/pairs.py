"""Which pair of instruments can decide which window: every glass on every scale, and the hydrometers."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from studio.calc.gravity_doubt import sg_per_division, uncertainty_of_hydrometer
from studio.calc.gravity_scales import told_from_sg
from studio.calc.spc import measurement_fit
from studio.quantities import rounded
from studio.room.measuring import uncertainty_of
from studio.room.models import Glass, Hydrometer, Scale

ABOUT_SG = Decimal("1.45")  # where nothing else is said
WINDOWS = (
    Decimal("0.010"),
    Decimal("0.015"),
    Decimal("0.020"),
)  # half-widths; 0.02 is usual, common practice


@dataclass(frozen=True, kw_only=True)
class Decides:
    """What one window asks of a pair: ``within`` of the target a reading can still be called inside."""

    half_window: Decimal
    within: Decimal
    fine_steps: bool

    @property
    def word(self) -> str:
        """yes: most of the window is left; barely: less than half of it; no: nothing is."""
        if self.within <= 0:
            return "no"
        return "yes" if self.within * 2 >= self.half_window else "barely"


@dataclass(frozen=True, kw_only=True)
class Pair:
    """A glass on a scale: how well it knows an SG (``doubt`` = U, k = 2), its steps, what it decides."""

    glass: Glass
    scale: Scale
    doubt: Decimal
    step: Decimal
    decides: list[Decides]

    @property
    def too_heavy(self) -> bool:
        """Whether the filled glass, as far as is known, is more than the scale carries."""
        empty = self.glass.empty_g or Decimal(0)
        return empty + self.glass.volume_ml * 2 > self.scale.capacity_g

    @property
    def words(self) -> str:
        """Cylinder 100 on Fine scale."""
        return f"{self.glass.name} on {self.scale.name}"


def pair_of(glass: Glass, scale: Scale, sg: Decimal, windows: Iterable[Decimal] = WINDOWS) -> Pair:
    """What a glass on a scale can tell at an SG."""
    doubt = 2 * uncertainty_of(sg=sg, glass=glass, scale=scale)
    fits = {}
    for half in windows:
        fits[half] = measurement_fit(
            window=[float(sg - half), float(sg + half)],
            volume_ml=float(glass.volume_ml),
            tolerance_ml={"own": float(glass.tolerance_ml)},
            scale_division_g=[float(scale.division_g)],
            sg=float(sg),
        ).ten_to_one
    return Pair(
        glass=glass,
        scale=scale,
        doubt=doubt,
        step=rounded(float(scale.division_g / glass.volume_ml), 5),
        decides=[
            Decides(half_window=half, within=half - doubt, fine_steps=all(fit.values()))
            for half, fit in fits.items()
        ],
    )


def pairs_among(
    glasses: Iterable[Glass], scales: Iterable[Scale], sg: Decimal, windows: Iterable[Decimal] = WINDOWS
) -> list[Pair]:
    """Every pair that the scale carries, the best first."""
    windows = list(windows)
    found = [pair_of(glass, scale, sg, windows) for glass in glasses for scale in scales]
    return sorted((pair for pair in found if not pair.too_heavy), key=lambda pair: pair.doubt)


def every_pair(sg: Decimal) -> list[Pair]:
    """Of the room as it stands: two queries."""
    scales = list(Scale.objects.filter(retired_at=None))
    return pairs_among(Glass.objects.filter(retired_at=None), scales, sg)


@dataclass(frozen=True, kw_only=True)
class Float:
    """A hydrometer: how well it knows an SG at best, and what it decides."""

    hydrometer: Hydrometer
    doubt: Decimal
    decides: list[Decides]


def division_in_sg(row: Hydrometer, sg: Decimal = ABOUT_SG) -> float:
    """What one step of its scale is in SG there."""
    modulus = float(row.modulus or 145)
    as_read = float(sg) if row.shows == "SG" else told_from_sg(unit=row.shows, sg=float(sg), modulus=modulus)
    return sg_per_division(unit=row.shows, as_read=as_read, division=float(row.division), modulus=modulus)


def doubt_of_hydrometer(row: Hydrometer, sg: Decimal = ABOUT_SG) -> Decimal:
    """U (k = 2) of an SG read off it, from its division alone; about as good as it can be."""
    known = uncertainty_of_hydrometer(
        reading_sg=float(sg), division_sg=division_in_sg(row, sg), expansion_per_c=float(row.expansion_per_c)
    )
    return rounded(known.U, 5)


def every_hydrometer(sg: Decimal) -> list[Float]:
    """The hydrometers in use, the best first. Read to half a division, ten of which must go into a window."""
    found = []
    for row in Hydrometer.objects.filter(retired_at=None):
        doubt, step = doubt_of_hydrometer(row, sg), division_in_sg(row, sg) / 2
        decides = [
            Decides(half_window=half, within=half - doubt, fine_steps=step * 10 <= float(half) * 2 + 1e-9)
            for half in WINDOWS
        ]
        found.append(Float(hydrometer=row, doubt=doubt, decides=decides))
    return sorted(found, key=lambda one: one.doubt)
