"""Who and what takes part, and when: the rows an act needs by their names, and days moved to the present."""

import csv
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from django.utils import timezone

from buckets.models import Fill
from studio.materials.models import Lot, Material
from studio.people.models import Counter, Member
from studio.recipes.models import Recipe
from studio.room.models import Glass, Scale, Vessel

DATA = Path(__file__).parent / "data"
LAST_DAY = date(2026, 4, 6)  # the day the tables end with; a Monday
LAST_HOUR = 11 * 60 + 30  # nothing on that day is later, in minutes

Event = tuple[datetime, Callable[[], Any]]


def table(name: str) -> list[dict[str, str]]:
    """The rows of one of the tables in ``data``."""
    with (DATA / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


class Cast:
    """The demo studio as its acts see it. Days are those of the tables, and come out moved."""

    def __init__(self, now: datetime) -> None:
        self.now = now
        self.today = timezone.localdate(now)
        self.person = cache(lambda name: Member.objects.get(name=name))
        self.vessel = cache(lambda code: Vessel.objects.get(code=code))
        self.scale = cache(lambda name: Scale.objects.get(name=name))
        self.glass = cache(lambda name: Glass.objects.get(name=name))
        self.material = cache(lambda name: Material.objects.get(name=name))

    def recipe(self, name: str) -> Recipe:
        return Recipe.objects.select_related("current__recipe").get(name=name)

    def lot(self, code: str) -> Lot:
        return Lot.objects.select_related("material").get(code=code)

    def fill(self, code: str) -> Fill:
        """What is in a bucket now."""
        return Fill.objects.select_related("vessel").get(vessel__code=code, emptied_at=None)

    def day(self, told: date | str) -> date:
        """The day of the tables, moved by as many days as their last one is from today."""
        return (date.fromisoformat(told) if isinstance(told, str) else told) + (self.today - LAST_DAY)

    def at(self, told: date | str, clock: str, minutes: float = 0) -> datetime:
        """``clock`` o'clock and some minutes, on a day of the tables.

        Early in the day its last day is not that far yet: then its hours are drawn together, in order.
        """
        day = self.day(told)
        midnight = timezone.make_aware(datetime.combine(day, time.min))
        hour, minute = map(int, clock.split(":"))
        after = timedelta(minutes=60 * hour + minute + minutes)
        passed = (self.now - midnight) / timedelta(minutes=1)
        return midnight + after * min(1.0, passed / LAST_HOUR if day == self.today else 1.0)


def next_is(series: str, number: int) -> None:
    """The next number of a series: the studio left some out."""
    Counter.objects.update_or_create(name=series, defaults={"last": number - 1})


@contextmanager
def label_numbered(serial: int) -> Iterator[None]:
    """Inside, the next label is ``serial``; after it they go on as before.

    Labels of this studio were printed out of order, and what is on a bucket keeps its serial.
    """
    before = Counter.objects.get(name="label").last
    next_is("label", serial)
    yield
    next_is("label", before + 1)
