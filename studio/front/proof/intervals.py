"""Intervals between readings: each as its history says, and what a fill carries of them as they say."""

from collections.abc import Iterator
from itertools import groupby
from operator import attrgetter

from buckets.calc.history import Told
from buckets.happenings import told_anew
from buckets.models import Fill, Interval
from buckets.operations.intervals import FACTS, carry_from_scratch, said_of
from studio.front.proof.problem import Problem

CARRIED = ("residual_count", "residual_sum", "unexplained_id", "edge_at")
NOTHING = Told([], begun=False)


def problems() -> Iterator[Problem]:
    said, told = said_of(), told_anew()
    rows = groupby(Interval.objects.order_by("fill_id", "at", "id").iterator(), key=attrgetter("fill_id"))
    pending_told, pending_rows = next(told, None), _next(rows)
    for fill in Fill.objects.select_related("vessel").defer("contents").order_by("pk").iterator():
        its, kept = NOTHING, {}
        if pending_told and pending_told[0] == fill.pk:
            its, pending_told = pending_told[1], next(told, None)
        if pending_rows and pending_rows[0] == fill.pk:
            kept, pending_rows = pending_rows[1], _next(rows)
        yield from _of(fill, its, kept)
        yield from _carried(fill, its, said)


def _next(rows: Iterator[tuple[int, Iterator[Interval]]]) -> tuple[int, dict[int, Interval]] | None:
    """The intervals of the next fill by the reading each ends with; a group lasts until the next is asked."""
    fill, its = next(rows, (None, iter(())))
    return None if fill is None else (fill, {row.reading_id: row for row in its})


def _of(fill: Fill, told: Told, kept: dict[int, Interval]) -> Iterator[Problem]:
    for one in told.intervals:
        row = kept.pop(one.reading, None)
        if row is None:
            yield Problem(_named(fill), f"has no interval up to reading {one.reading}.")
            continue
        for name in FACTS:
            there = getattr(row, name)
            says = one.since if name == "since_id" else getattr(one, name)
            if there != says:
                said = f"keeps {name} {there} up to reading {one.reading}, its history says {says}."
                yield Problem(_named(fill), said)
    for reading in kept:
        yield Problem(_named(fill), f"has an interval up to reading {reading}, where none ends.")


def _carried(fill: Fill, told: Told, said: set[int]) -> Iterator[Problem]:
    before = {name: getattr(fill, name) for name in CARRIED}
    carry_from_scratch(fill, told, said)
    for name, kept in before.items():
        if kept != (says := getattr(fill, name)):
            yield Problem(_named(fill), f"carries {name} {kept}, its history says {says}.")


def _named(fill: Fill) -> str:
    return f"fill {fill.number} ({fill.glaze} in {fill.vessel.code})"
