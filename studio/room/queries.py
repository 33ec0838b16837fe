"""What is asked of the room."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import QuerySet

from studio.room.models import Glass, PolicyChange, Vessel
from studio.room.operations.policy import bounds_of
from studio.room.policy import WORDS, Policy, in_force


@dataclass(frozen=True, kw_only=True)
class Litres:
    """What a vessel takes: to the brim, and up to the studio's fill limit."""

    brim_l: float
    limit_l: float
    limit_pct: float


def litres_of(vessel: Vessel, policy: Policy) -> Litres:
    """Brim and fill limit of a vessel, from its inner sizes."""
    pct = policy.fill_limit_pct
    return Litres(brim_l=vessel.brim_l(), limit_l=vessel.limit_l(pct), limit_pct=float(pct))


@dataclass(frozen=True, kw_only=True)
class Rule:
    """One of the studio's rules as the room's page shows it."""

    name: str
    says: str
    unit: str
    value: object

    @property
    def switch(self) -> bool:
        """Whether it is either so or not."""
        bounds = bounds_of(self.name)
        return (bounds.low, bounds.high, bounds.places) == (0, 1, 0)


def rules(policy: Policy) -> list[Rule]:
    """Every rule in force, in the order of the page."""
    return [
        Rule(name=name, says=says.partition(" (")[0], unit=unit, value=getattr(policy, name))
        for name, (says, unit) in WORDS.items()
    ]


def changes_of(name: str) -> QuerySet[PolicyChange]:
    """The changes of one rule, the newest first."""
    return PolicyChange.objects.filter(name=name).select_related("by").order_by("-id")


def glasses_due(now: datetime, policy: Policy | None = None) -> QuerySet[Glass]:
    """Glass that was weighed with water once and should be again: the longest overdue first.

    What was never weighed keeps its maker's volume and tolerance, and is not due.
    """
    days = float((policy or in_force()).calibration_days)
    old = Glass.objects.filter(retired_at=None, calibrated_at__lte=now - timedelta(days=days))
    return old.order_by("calibrated_at")
