"""The weeks of a fill as a line: specific gravity, its window, and what was done to it.

Heights are pixels and places along time are percentages, so that lettering and dots keep their size
at every width. The page tells the same story in words beside it.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from studio import words
from studio.drawings import around, ticks
from studio.words import Number

Point = tuple[datetime, Number]
Event = tuple[datetime, str]

TOP, FOOT, DAYS = 12, 180, 250  # px from the top edge
EVENT_ROWS = (206, 226)
EDGE, LEFT, RIGHT = 15.0, 18.0, 98.0  # percent of the width: plot, first and last moment
NARROW_PX = 294  # width on a phone of 360 px: what must not collide is measured there
LETTER_PX = 8.6


def sg_chart(
    *,
    points: Sequence[Point],
    now: datetime,
    events: Sequence[Event] = (),
    target: Number | None = None,
    half: Number | None = None,
) -> str:
    """Readings in order of time, oldest first; the line is broken at each event.

    Events are what changes the gravity at once (water in, powder in). Fewer than one reading: nothing.
    Dots outside the window are filled.
    """
    if not points:
        return ""
    low, high = _range([float(sg) for _, sg in points], target, half)
    first = min([points[0][0], *(at for at, _ in events)])
    span = max(now - first, timedelta(hours=1))

    def x(at: datetime) -> float:
        return LEFT + (at - first) / span * (RIGHT - LEFT)

    def y(sg: Number) -> float:
        return round(FOOT - (float(sg) - low) / (high - low) * (FOOT - TOP), 1)

    drawn = _window(y, target, half) + _grid(y, low, high)
    drawn += _events([(x(at), text) for at, text in events])
    drawn += _line(points, [at for at, _ in events], x, y)
    inside = around(target, half) if target is not None and half else (low, high)
    for at, sg in points:
        out = "" if inside[0] - 1e-9 <= float(sg) <= inside[1] + 1e-9 else " out"
        drawn.append(f'<circle class="dot{out}" cx="{x(at):.2f}%" cy="{y(sg)}" r="5"/>')
    drawn.append(f'<text x="{LEFT}%" y="{DAYS}">{words.ago(first, now)}</text>')
    drawn.append(f'<text x="{RIGHT}%" y="{DAYS}" text-anchor="end">today</text>')
    label = sg_chart_words(points, now, events, target, half)
    return (
        f'<svg class="chart" width="100%" height="256" role="img" aria-label="{label}">{"".join(drawn)}</svg>'
    )


def sg_chart_words(
    points: Sequence[Point],
    now: datetime,
    events: Sequence[Event] = (),
    target: Number | None = None,
    half: Number | None = None,
) -> str:
    readings = "1 reading" if len(points) == 1 else f"{len(points)} readings"
    (first, start), (last, end) = points[0], points[-1]
    text = f"specific gravity, {readings}: {words.sg(start)} {words.ago(first, now)}"
    text += f", {words.sg(end)} {words.ago(last, now)}" if len(points) > 1 else ""
    if target is not None and half:
        low, high = around(target, half)
        text += f"; window {words.sg(low)} to {words.sg(high)}"
    return text + (f"; {len(events)} times something was added or taken off" if events else "")


def _range(values: list[float], target: Number | None, half: Number | None) -> tuple[float, float]:
    if target is not None:
        values = [*values, *(around(target, half) if half else (float(target),))]
    margin = max((max(values) - min(values)) * 0.12, 0.008)
    return min(values) - margin, max(values) + margin


def _window(y, target: Number | None, half: Number | None) -> list[str]:
    if target is None or not half:
        return []
    low, high = around(target, half)
    tall = f"{y(low) - y(high):.1f}"
    box = f'<rect class="window" x="{EDGE}%" y="{y(high)}" width="{100 - EDGE}%" height="{tall}"/>'
    edges = [f'<line class="edge" x1="{EDGE}%" y1="{y(v)}" x2="100%" y2="{y(v)}"/>' for v in (low, high)]
    return [box, *edges]


def _grid(y, low: float, high: float) -> list[str]:
    drawn = []
    for value, text in ticks(low, high):
        drawn.append(f'<line class="grid" x1="{EDGE}%" y1="{y(value)}" x2="100%" y2="{y(value)}"/>')
        drawn.append(f'<text x="0" y="{y(value) + 5:.1f}">{text}</text>')
    return drawn


def _events(marks: list[tuple[float, str]]) -> list[str]:
    """An upright for each, with its words in the first row below where they fit."""
    drawn, free_from = [], dict.fromkeys(EVENT_ROWS, 0.0)
    for at, text in marks:
        wide = len(text) * LETTER_PX / NARROW_PX * 100
        fits = at + wide <= 100
        start = at if fits else at - wide
        row = next((row for row in EVENT_ROWS if start >= free_from[row]), None)
        foot = FOOT + 8 if row is None else row + 2
        drawn.append(f'<line class="event" x1="{at:.2f}%" y1="{TOP}" x2="{at:.2f}%" y2="{foot}"/>')
        if row is not None:
            side = 'dx="5"' if fits else 'dx="-5" text-anchor="end"'
            drawn.append(f'<text class="word" x="{at:.2f}%" y="{row}" {side}>{text}</text>')
            free_from[row] = start + wide + 4
    return drawn


def _line(points: Sequence[Point], breaks: list[datetime], x, y) -> list[str]:
    return [
        f'<line class="line" x1="{x(a):.2f}%" y1="{y(p)}" x2="{x(b):.2f}%" y2="{y(q)}"/>'
        for (a, p), (b, q) in pairwise(points)
        if not any(a < at <= b for at in breaks)
    ]
