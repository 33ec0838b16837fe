"""Which bucket a round comes to next: light glazes first, with the mixer rinsed where colour would carry."""

from typing import NamedTuple

from buckets.calc.rounds import carries_over, lab_of
from buckets.models import Fill, Round
from buckets.queries import open_fills


class Place(NamedTuple):
    """One bucket on the way. ``rinse``: the mixer has been in a glaze that would show in this one."""

    fill: Fill
    rinse: bool


class Way(NamedTuple):
    """A round as it stands: what is done, where one is, what comes after."""

    done: int
    here: Place | None
    to_come: list[Place]

    @property
    def total(self) -> int:
        return self.done + (self.here is not None) + len(self.to_come)


def way_of(round: Round) -> Way:
    """The buckets of a round from light to dark, those done left out: two queries.

    Reclaim comes last, whatever its colour. What is poured or emptied meanwhile joins or leaves.
    """
    done = set(round.stops.values_list("vessel_id", flat=True))
    fills = sorted(open_fills(), key=_depth_of_colour)
    places = [
        Place(fill, rinse=bool(number) and _rinse(fills[number - 1], fill))
        for number, fill in enumerate(fills)
    ]
    left = [place for place in places if place.fill.vessel_id not in done]
    return Way(done=len(done), here=left[0] if left else None, to_come=left[1:])


def _depth_of_colour(fill: Fill) -> tuple[bool, float, str]:
    return (fill.reclaim, -lab_of(fill.colour).lightness, fill.vessel.code)


def _rinse(before: Fill | None, fill: Fill) -> bool:
    if before is None or fill.reclaim or before.glaze == fill.glaze:
        return False
    return carries_over(before=before.colour, after=fill.colour)
