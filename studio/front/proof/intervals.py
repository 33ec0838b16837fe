"""Intervals between readings: each as its history says, and what a fill carries of them as they say."""

from collections.abc import Iterator
from itertools import groupby
from operator import attrgetter

from buckets.happenings import told_anew
from buckets.models import Fill, Interval
from buckets.operations.intervals import FACTS, carry_from_scratch
from studio.front.proof.problem import Problem

CARRIED = ("residual_count", "residual_sum", "unexplained_id", "edge_at")


def problems() -> Iterator[Problem]:
    yield from _as_the_history_says()
    yield from _carried()


def _as_the_history_says() -> Iterator[Problem]:
    kept = groupby(Interval.objects.order_by("fill", "at", "id").iterator(), key=attrgetter("fill_id"))
    there = {fill: {row.reading_id: row for row in rows} for fill, rows in kept}
    for fill, told in told_anew():
        rows = there.pop(fill, {})
        for one in told:
            row = rows.pop(one.reading, None)
            if row is None:
                yield Problem(_named(fill), f"has no interval up to reading {one.reading}.")
                continue
            for name in FACTS:
                kept_value = getattr(row, name)
                says = one.since if name == "since_id" else getattr(one, name)
                if kept_value != says:
                    said = f"keeps {name} {kept_value} up to reading {one.reading}, its history says {says}."
                    yield Problem(_named(fill), said)
        yield from _without(fill, rows)
    for fill, rows in there.items():
        yield from _without(fill, rows)


def _without(fill: int, rows: dict[int, Interval]) -> Iterator[Problem]:
    for reading in rows:
        yield Problem(_named(fill), f"has an interval up to reading {reading}, where none ends.")


def _carried() -> Iterator[Problem]:
    for fill in Fill.objects.select_related("vessel").defer("contents").order_by("pk"):
        before = {name: getattr(fill, name) for name in CARRIED}
        carry_from_scratch(fill)
        for name, kept in before.items():
            if kept != (says := getattr(fill, name)):
                where = f"fill {fill.number} ({fill.glaze} in {fill.vessel.code})"
                yield Problem(where, f"carries {name} {kept}, its intervals say {says}.")


def _named(pk: int) -> str:
    fill = Fill.objects.select_related("vessel").get(pk=pk)
    return f"fill {fill.number} ({fill.glaze} in {fill.vessel.code})"
