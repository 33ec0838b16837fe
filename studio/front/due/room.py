"""The room itself: begun and not yet set up."""

from collections.abc import Iterator

from django.urls import reverse

from studio.front.due.line import Due
from studio.room.steps import Progress


def setting_up(steps: list[Progress]) -> Iterator[Due]:
    """A room begun and not yet set up; an empty one has a page of its own."""
    left = [part.step for part in steps if not part.done]
    if left and vessels_in(steps):
        yield Due(
            urgency=8,
            icon="tick",
            what=f"Setting up the room: {len(steps) - len(left)} of {len(steps)} done",
            why=f"Next: {left[0].name.lower()}. {left[0].why}",
            address=reverse("room"),
        )


def vessels_in(steps: list[Progress]) -> int:
    """How many vessels the room has."""
    return sum(part.count for part in steps if part.step.url == "add-vessel")
