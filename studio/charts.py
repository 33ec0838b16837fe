"""What happened to a fill, as a drawing against true time: specific gravity with its window, what was done to
it, and below on a line of its own what is left over once everything written down is reckoned with.

Heights are pixels and places along time are percentages, so that lettering and dots keep their size at
every width. The page tells the same story in words and in a table beside it.
"""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import NamedTuple

from studio import words
from studio.drawings import around, ticks
from studio.words import Number

Event = tuple[datetime, str]
Place = Callable[..., float]

TOP, FOOT, DAYS = 12, 180, 250  # px from the top edge
EVENT_ROWS = (206, 226)
REST_ZERO, REST_TALL, REST_DAYS = 286, 30, 344  # the line of what is left over
EDGE, LEFT, RIGHT = 15.0, 18.0, 98.0  # percent of the width: plot, first and last moment
NARROW_PX = 294  # width on a phone of 360 px: what must not collide is measured there
LETTER_PX = 8.6
LINE_PX = 18  # lettering closer than this runs into each other


class Dot(NamedTuple):
    """One reading; ``member``: not the studio's own, drawn as a square and not joined by the line;
    ``asked``: not as expected, with a ring around it."""

    at: datetime
    sg: Number
    member: bool = False
    asked: bool = False


class Rest(NamedTuple):
    """What was left over at a reading, SG without unit, signed; ``asked``: beyond the usual."""

    at: datetime
    rest: Number
    asked: bool = False


def sg_chart(
    *,
    points: Sequence[tuple],
    now: datetime,
    events: Sequence[Event] = (),
    target: Number | None = None,
    half: Number | None = None,
    rests: Sequence[Rest] = (),
    limit: Number | None = None,
    past: bool = False,
) -> str:
    """Readings in order of time, oldest first (``Dot``, or its first fields); the line breaks at each event.

    Events are what changes the gravity at once (water in, powder in). Dots outside the window are filled.
    ``rests`` have their line only where there are any, ``limit`` is drawn around nought where given.
    ``past``: it ends at ``now`` some time ago, so moments are told as days. Without a reading: nothing.
    """
    dots = [Dot(*point) for point in points]
    if not dots:
        return ""
    low, high = _range([float(dot.sg) for dot in dots], target, half)
    first = min([dots[0].at, *(at for at, _ in events)])
    span = max(now - first, timedelta(hours=1))

    def x(at: datetime) -> float:
        return LEFT + (at - first) / span * (RIGHT - LEFT)

    def y(sg: Number) -> float:
        return round(FOOT - (float(sg) - low) / (high - low) * (FOOT - TOP), 1)

    drawn = _window(y, target, half) + _grid(y, low, high)
    drawn += _events([(x(at), text) for at, text in events])
    drawn += _line([dot for dot in dots if not dot.member], [at for at, _ in events], x, y)
    inside = around(target, half) if target is not None and half else (low, high)
    drawn += [_dot(dot, x, y, inside) for dot in dots]
    drawn += _rests(rests, limit, x)
    foot = REST_DAYS if rests else DAYS
    drawn.append(f'<text x="{LEFT}%" y="{foot}">{_when(first, now, past)}</text>')
    end = _when(now, now, past) if past else "today"
    drawn.append(f'<text x="{RIGHT}%" y="{foot}" text-anchor="end">{end}</text>')
    said = sg_chart_words(dots, now, events, target, half, rests, limit, past)
    return (
        f'<svg class="chart{" long" if rests else ""}" width="100%" height="{foot + 6}" role="img" '
        'aria-labelledby="chart-title chart-words"><title id="chart-title">Specific gravity over time</title>'
        f'<desc id="chart-words">{said}</desc>{"".join(drawn)}</svg>'
    )


def sg_chart_words(
    points: Sequence[Dot],
    now: datetime,
    events: Sequence[Event] = (),
    target: Number | None = None,
    half: Number | None = None,
    rests: Sequence[Rest] = (),
    limit: Number | None = None,
    past: bool = False,
) -> str:
    readings = "1 reading" if len(points) == 1 else f"{len(points)} readings"
    first, last = points[0], points[-1]
    text = f"specific gravity, {readings}: {words.sg(first.sg)} {_when(first.at, now, past)}"
    text += f", {words.sg(last.sg)} {_when(last.at, now, past)}" if len(points) > 1 else ""
    members = sum(point.member for point in points)
    text += f"; {members} of them by members" if members else ""
    if target is not None and half:
        low, high = around(target, half)
        text += f"; window {words.sg(low)} to {words.sg(high)}"
    text += f"; {len(events)} times something was added or taken off" if events else ""
    return text + _rest_words(rests, limit, now, past)


def _rest_words(rests: Sequence[Rest], limit: Number | None, now: datetime, past: bool) -> str:
    if not rests:
        return ""
    text = f"; usual is up to {words.sg(limit)} left over" if limit else ""
    asked = [f"{words.signed(rest.rest)} {_when(rest.at, now, past)}" for rest in rests if rest.asked]
    return text + (f"; not as expected: {', '.join(asked)}" if asked else "; nothing beyond the usual")


def _when(at: datetime, now: datetime, past: bool) -> str:
    return f"{at.day} {at:%b} {at.year}" if past else words.ago(at, now)


def _range(values: list[float], target: Number | None, half: Number | None) -> tuple[float, float]:
    if target is not None:
        values = [*values, *(around(target, half) if half else (float(target),))]
    margin = max((max(values) - min(values)) * 0.12, 0.008)
    return min(values) - margin, max(values) + margin


def _window(y: Place, target: Number | None, half: Number | None) -> list[str]:
    if target is None or not half:
        return []
    low, high = around(target, half)
    tall = f"{y(low) - y(high):.1f}"
    box = f'<rect class="window" x="{EDGE}%" y="{y(high)}" width="{100 - EDGE}%" height="{tall}"/>'
    return [box, *(_across("edge", y(value)) for value in (low, high))]


def _across(kind: str, height: float) -> str:
    return f'<line class="{kind}" x1="{EDGE}%" y1="{height}" x2="100%" y2="{height}"/>'


def _grid(y: Place, low: float, high: float) -> list[str]:
    drawn = []
    for value, text in ticks(low, high):
        drawn.append(_across("grid", y(value)))
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


def _line(points: Sequence[Dot], breaks: list[datetime], x: Place, y: Place) -> list[str]:
    return [
        f'<line class="line" x1="{x(a.at):.2f}%" y1="{y(a.sg)}" x2="{x(b.at):.2f}%" y2="{y(b.sg)}"/>'
        for a, b in pairwise(points)
        if not any(a.at < at <= b.at for at in breaks)
    ]


def _dot(dot: Dot, x: Place, y: Place, inside: tuple[float, float]) -> str:
    """A reading: round for the studio's own, square for a member's, ringed when it was not expected."""
    out = "" if inside[0] - 1e-9 <= float(dot.sg) <= inside[1] + 1e-9 else " out"
    at, height = f"{x(dot.at):.2f}%", y(dot.sg)
    if dot.member:
        # A square around its middle: places are percentages, so it is moved by half its side.
        return (
            f'<rect class="dot{out}" x="{at}" y="{height - 4.5:.1f}" width="9" height="9" '
            'transform="translate(-4.5 0)"/>'
        )
    ring = f'<circle class="ring" cx="{at}" cy="{height}" r="10"/>' if dot.asked else ""
    return f'{ring}<circle class="dot{out}" cx="{at}" cy="{height}" r="5"/>'


def _rests(rests: Sequence[Rest], limit: Number | None, x: Place) -> list[str]:
    """Uprights from nought to what was left over; the usual between two dashed lines where it is known."""
    if not rests:
        return []
    most = max([abs(float(rest.rest)) for rest in rests] + [float(limit or 0), 1e-6])

    def y(rest: float) -> float:
        return round(REST_ZERO - rest / most * REST_TALL, 1)

    drawn = [f'<text class="word" x="{LEFT}%" y="{REST_ZERO - REST_TALL - 8}">left over</text>']
    drawn += [_across("zero", REST_ZERO), f'<text x="0" y="{REST_ZERO + 5}">0</text>']
    if limit is not None:
        drawn += [_across("limit", y(side * float(limit))) for side in (1, -1)]
        if REST_ZERO - y(float(limit)) >= LINE_PX:
            drawn.append(f'<text x="0" y="{y(float(limit)) + 5:.1f}">{words.sg(limit)}</text>')
    for rest in rests:
        at, height = f"{x(rest.at):.2f}%", y(float(rest.rest))
        asked = " asked" if rest.asked else ""
        drawn.append(f'<line class="rest{asked}" x1="{at}" y1="{REST_ZERO}" x2="{at}" y2="{height}"/>')
        if rest.asked:
            drawn.append(f'<circle class="ring" cx="{at}" cy="{height}" r="6"/>')
    return drawn
