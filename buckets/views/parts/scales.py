"""What the room's scales can do for a reading: which pair decides the window, and who carries the bucket."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from buckets.models import Fill
from studio.room.models import Glass, Scale
from studio.room.pairs import ABOUT_SG, Pair, pairs_among

LIFT_WITH_TWO_G = 15_000  # common practice, no source


@dataclass(frozen=True, kw_only=True)
class Pairs:
    """Every pair of the room for one fill, the best first."""

    every: list[Pair]
    half_window: Decimal | None

    def _can(self, pair: Pair) -> bool:
        return self.half_window is None or pair.doubt < self.half_window

    @property
    def rows(self) -> list[dict[str, Any]]:
        """As the page lists them."""
        return [{"pair": pair, "too_coarse": not self._can(pair)} for pair in self.every]

    @property
    def could(self) -> Pair | None:
        """The best pair, if it can call anything inside this window."""
        best = self.every[0] if self.every else None
        return best if best and self._can(best) else None

    @property
    def none_can(self) -> bool:
        """Whether the room has pairs, and none of them can tell."""
        return bool(self.every) and self.could is None


def pairs_for(fill: Fill, glasses: list[Glass], scales: list[Scale]) -> Pairs:
    """The pairs of the room at this fill's target; without a window every pair can."""
    half = fill.half_window if fill.target_sg is not None else None
    windows = [half] if half else []
    return Pairs(every=pairs_among(glasses, scales, fill.target_sg or ABOUT_SG, windows), half_window=half)


@dataclass(frozen=True, kw_only=True)
class ByWeight:
    """About what the bucket weighs with its glaze (g), which scale carries it, whether two should lift."""

    gross_g: Decimal
    scale: Scale | None
    most_g: Decimal | None

    @property
    def with_two(self) -> bool:
        """Whether it is too heavy for one."""
        return self.gross_g > LIFT_WITH_TWO_G


def by_weight(fill: Fill, scales: list[Scale]) -> ByWeight:
    """Whether the litres can come from the bucket's weight: the finest scale that carries it."""
    sg = fill.target_sg or ABOUT_SG
    gross = (fill.vessel.empty_g + fill.volume_l * 1000 * sg).quantize(Decimal(1))
    able = [scale for scale in scales if scale.capacity_g >= gross]
    return ByWeight(
        gross_g=gross,
        scale=min(able, key=lambda scale: scale.division_g, default=None),
        most_g=max((scale.capacity_g for scale in scales), default=None),
    )
