"""The way to set up a room: what is entered first, and what is there already.

Each app adds its own step when it starts; the room, below them all, only puts them in a row.
"""

from collections.abc import Callable
from dataclasses import dataclass

from django.db.models import Count, QuerySet, Value


@dataclass(frozen=True, kw_only=True)
class Step:
    """One thing to enter. ``rows`` are those that count as done, ``act`` the words of the link to ``url``."""

    name: str
    why: str
    url: str
    act: str
    right: str
    rows: Callable[[], QuerySet]
    enough: int = 1


@dataclass(frozen=True)
class Progress:
    """A step with how many rows it has."""

    step: Step
    count: int

    @property
    def done(self) -> bool:
        return self.count >= self.step.enough


_STEPS: list[Step] = []


def add_step(step: Step) -> None:
    """Called by each app as it starts, in the order of the apps, which is the order of setting up."""
    if step not in _STEPS:
        _STEPS.append(step)


def progress() -> list[Progress]:
    """Every step and how far it is: one query for all."""
    parts = [
        step.rows().order_by().annotate(step=Value(number)).values_list("step").annotate(rows=Count("pk"))
        for number, step in enumerate(_STEPS)
    ]
    counts = dict(parts[0].union(*parts[1:], all=True)) if parts else {}
    return [Progress(step, counts.get(number, 0)) for number, step in enumerate(_STEPS)]
