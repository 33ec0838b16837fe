"""How long a bucket still lasts: litres above the dip depth over what goes out of it a week.

What goes out is worked out from levels and gravities, not from what was logged: of that a share is
forgotten. Weeks: the last six. Low: under a third of the fill limit (common practice, no source).
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from buckets.calc.loss import Step, loss_over
from buckets.models import Fill, Interval
from studio.room.policy import Policy

WEEKS = timedelta(weeks=6)
LEAST = timedelta(days=6)  # fewer days say nothing about a week
LOW_SHARE = 1 / 3
FIELDS = ("sg", "volume_l", "at")


@dataclass(frozen=True)
class Left:
    """Litres now, litres below the dip depth, litres used a week and days until only those are left.

    ``used_l_per_week`` and ``days`` None: not enough measured levels.
    """

    volume_l: float
    keep_l: float
    low: bool
    used_l_per_week: float | None
    days: float | None


def left_in(fills: Iterable[Fill], now: datetime, policy: Policy) -> dict[int, Left]:
    """By fill, what is left in it: one query for all of them, over the intervals of six weeks."""
    fills = list(fills)
    measured = [f"{end}__{name}" for end in ("since", "reading") for name in FIELDS]
    rows = (
        Interval.objects.filter(fill__in=fills, since__at__gte=now - WEEKS, at__lte=now)
        .order_by("at", "id")
        .values_list("fill_id", "added_l", "added_g", *measured)
    )
    steps: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for fill_id, *rest in rows:
        steps[fill_id].append(tuple(rest))
    return {fill.pk: _left(fill, steps[fill.pk], policy) for fill in fills}


def _left(fill: Fill, rows: list[tuple[Any, ...]], policy: Policy) -> Left:
    volume_l = float(fill.volume_l)
    keep_l = fill.vessel.volume_at_l(min(float(policy.keep_depth_cm), float(fill.vessel.height_cm)))
    week_l = _used_l_per_week(rows)
    return Left(
        volume_l=volume_l,
        keep_l=keep_l,
        low=volume_l < LOW_SHARE * fill.vessel.limit_l(policy.fill_limit_pct),
        used_l_per_week=week_l,
        days=None if not week_l else max(volume_l - keep_l, 0) / week_l * 7,
    )


def _used_l_per_week(rows: list[tuple[Any, ...]]) -> float | None:
    """Litres a week over the steps that have a level and a gravity at both ends; None when too few days."""
    steps, days = [], timedelta()
    for added_l, added_g, sg_1, volume_1, at_1, sg_2, volume_2, at_2 in rows:
        if (
            None in (sg_1, volume_1, sg_2, volume_2)
            or min(volume_1 + added_l, volume_2) <= 0
            or min(sg_1, sg_2) <= 1
        ):
            continue
        added_x = (added_g or Decimal(0)) / 1000 - added_l
        steps.append(
            Step(
                volume_1_l=float(volume_1),
                sg_1=float(sg_1),
                volume_2_l=float(volume_2),
                sg_2=float(sg_2),
                added_l=float(added_l),
                added_x=float(added_x),
            )
        )
        days += at_2 - at_1
    if days < LEAST:
        return None
    used_l = loss_over(steps).used_l
    return max(used_l, 0.0) / (days / timedelta(weeks=1))
