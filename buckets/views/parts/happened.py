"""What happened lately: the chart against true time, its table, what it says, and where the litres went."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from functools import lru_cache
from typing import Any

from django.template.loader import render_to_string

from buckets import balance, happened
from buckets.balance import Gap
from buckets.models import Fill
from buckets.story import Story
from studio.charts import Dot, Rest

WEEKS = timedelta(weeks=6)
MOST_MARKS = 20  # more uprights than that say nothing any more

Marks = tuple[tuple[datetime, str], ...]


@dataclass(frozen=True)
class Line:
    """One reading in the table behind the chart; expected and left over where there is an interval."""

    at: datetime
    sg: Decimal
    member: bool
    expected_sg: Decimal | None = None
    residual: Decimal | None = None
    asked: bool = False


@dataclass(frozen=True)
class Facts:
    """All that the drawing and its table rest on: the same facts look the same."""

    dots: tuple[Dot, ...]
    marks: Marks
    rests: tuple[Rest, ...]
    lines: tuple[Line, ...]
    target: Decimal | None
    half: Decimal | None
    limit: Decimal | None
    usual: str


def happened_to(fill: Fill, story: Story, now: datetime, *, changed: bool, units: str) -> dict[str, Any]:
    """The part ``happened`` of a bucket's page: one query, however long the history is.

    ``changed``: something was done since the reading that counts. ``asked`` holds what nobody has explained.
    """
    gaps = balance.newest_gaps(fill.pk)
    since = now - WEEKS
    late = [gap for gap in gaps if gap.at >= since]
    asked = happened.still_asked(fill, late)
    numbers = tuple(gap.reading for gap in asked)
    facts = _facts(fill, story, late, numbers, since)
    return {
        "asked": [happened.asked_of(gap) for gap in asked],
        "weeks": _drawn(facts, now.replace(second=0, microsecond=0)) if len(facts.dots) > 1 else "",
        "says": happened.says(fill, gaps, now, changed=changed),
        "drifts": happened.drifts(fill, now),
        "litres": _litres(tuple(gaps), numbers, since.replace(second=0, microsecond=0), units),
    }


def _facts(fill: Fill, story: Story, gaps: list[Gap], asked: tuple[int, ...], since: datetime) -> Facts:
    readings = [
        (row.id, row.at, row.sg, row.is_check)
        for row in reversed(story.readings)
        if row.sg is not None and row.at >= since and row.undone is None
    ]
    limit, usual = happened.usual(fill, [gap.sg for gap in gaps])
    rests = happened.rests_of(gaps, asked, since)
    return Facts(
        dots=happened.dots_of(readings, asked),
        marks=_marks(story, gaps, since)[-MOST_MARKS:],
        rests=rests,
        lines=_lines(readings, gaps, asked),
        target=fill.target_sg,
        half=fill.half_window,
        limit=limit if rests else None,
        usual=usual,
    )


def _marks(story: Story, gaps: list[Gap], since: datetime) -> Marks:
    """What was done in the intervals; since the newest of them, by the story's own rows."""
    newest = gaps[0].at if gaps else since
    marks = happened.marks_of(gaps, since)
    for row in reversed(story.care):
        if row.at >= newest and row.undone is None and row.reverses is None:
            said = happened.mark(row.additive or row.kind, row.volume_l)
            marks += [(row.at, said)] if said else []
    return tuple(marks)


def _lines(readings: list[Any], gaps: list[Gap], asked: tuple[int, ...]) -> tuple[Line, ...]:
    by_reading = {gap.reading: gap for gap in gaps}
    lines = []
    for pk, at, sg, is_check in reversed(readings):
        gap = by_reading.get(pk)
        known = (gap.predicted_sg, gap.residual) if gap else (None, None)
        lines.append(Line(at, sg, not is_check, *known, pk in asked))
    return tuple(lines)


@lru_cache(maxsize=500)
def _drawn(facts: Facts, minute: datetime) -> str:
    """The drawing and its table: within a minute the same facts look the same."""
    return render_to_string("buckets/_chart.html", {"facts": facts})


@lru_cache(maxsize=500)
def _litres(gaps: tuple[Gap, ...], asked: tuple[int, ...], since: datetime, units: str) -> tuple[str, ...]:
    """Where the litres went: over the weeks, and between the newest two readings."""
    if not gaps:
        return ()
    pair = balance.of_pair(gaps[0])
    said = balance.sentences(pair, units)
    weeks = balance.of_weeks(gaps, since, asked=asked)
    if weeks is not None and not pair.missing:
        said += balance.sentences(weeks, units)
    return tuple(said)
