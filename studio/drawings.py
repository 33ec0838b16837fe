"""Our own line drawings: icons of the thing itself, the dip stick, the gravity scale.

Every drawing is put together from numbers and fixed words only, so the markup is safe as it is;
a colour is let in only when it is six hexadecimal digits. Classes carry the colours (app.css),
so one drawing serves light, dark and print.
"""

import re
from decimal import Decimal
from functools import cache, lru_cache
from math import ceil, floor

from studio import words
from studio.words import Number

PAIL = '<path d="M8 21h32l-3.6 22H11.6z"/>'

ICONS = {
    # the four answers
    "dip": '<path d="M8 26h32l-3 17H11zM17 4h14l-2.6 13h-8.8zM18 34l4.4 4.2L31 30"/>',
    "stir": PAIL + '<path d="M33 3l-8.5 27M15.5 33c3.5 4.6 13 4.6 16.5-.5M32.5 37v-5h-5"/>',
    "measure": '<path d="M14 5h20M17 5v38M31 5v38M10 43h28M31 13h-5"/>'
    '<path class="solid" d="M17 21h14v22H17z"/>',
    "stop": '<path d="M8 21l3.6 22h24.800L40 21"/><path d="M5 16h38v5H5z"/><path d="M20 11h8"/>'
    '<path d="M18 27.5l12 10.5M30 27.5L18 38"/>',
    # things
    "bucket": PAIL + '<path d="M8 21C9 2 39 2 40 21"/>',
    "cylinder": '<path d="M15 5h18M18 5v38M30 5v38M11 43h26M30 13h-5M30 20h-7M30 27h-5M30 34h-7"/>',
    "scale": '<path d="M9 12h30M12 12l2 7h20l2-7M24 19v5M9 43l3-19h24l3 19zM18 33h12v5H18z"/>',
    "label": '<path d="M6 10h36v28H6z"/><path d="M12 17h14M12 24h14M12 31h9M33 17h3v3h-3zM32 28h4v4"/>',
    "drop": '<path d="M24 5c7 9 12 15.5 12 23a12 12 0 0 1-24 0c0-7.5 5-14 12-23zM18 29a6.5 6.5 0 0 0 6 6"/>',
    "powder": '<path d="M11 18l3-12h20l3 12M11 18c-4 8-4 17-1 25h28c3-8 3-17-1-25z"/>'
    '<path d="M20 29h.1M27 27h.1M24 34h.1M31 35h.1M17 36h.1"/>',
    "sieve": '<path d="M5 14h38l-4 12H9zM13 20h22"/>'
    '<path d="M16 14l-1 12M24 14v12M32 14l1 12M17 33v2M24 33v4M31 33v2M24 42v1"/>',
    "cup": '<path d="M9 11h24l-3 30H12zM31.5 17c9-1 9 12-1.5 12"/>',
    "kiln": '<path d="M8 43V17C8 4 40 4 40 17v26z"/><path d="M17 43V29c0-8 14-8 14 0v14M5 43h38"/>',
    "page": '<path d="M11 5h18l8 8v30H11z"/><path d="M28 5v9h9M17 22h14M17 29h14M17 36h8"/>',
    "shelf": '<path d="M4 40h40M8 40l-1.5-14h13L18 40M28 40l-2-22h17l-2 22"/>',
    "person": '<circle cx="24" cy="15" r="8"/><path d="M8 43c0-11 7-16 16-16s16 5 16 16"/>',
    "clock": '<circle cx="24" cy="24" r="18"/><path d="M24 13v11l8 5"/>',
    "lock": '<path d="M10 22h28v21H10zM16 22v-6c0-11 16-11 16 0v6M24 30v5"/>',
    # signs
    "caution": '<path d="M24 5l20 37H4z"/><path d="M24 18v11M24 35.5v.1"/>',
    "wrong": '<path d="M11 45V5M11 7h27l-7 9 7 9H11"/>',
    "plus": '<path d="M24 8v32M8 24h32"/>',
    "tick": '<path d="M8 25l11 12L41 10"/>',
    "cross": '<path d="M10 10l28 28M38 10L10 38"/>',
    "back": '<path d="M30 8L14 24l16 16"/>',
    "search": '<circle cx="20" cy="20" r="13"/><path d="M30 30l13 13"/>',
    "print": '<path d="M14 17V5h20v12M14 34H6V17h36v17h-8"/><path d="M14 27h20v16H14z"/>',
    "away": '<path d="M7 24h32M28 12l12 12-12 12"/>',
}

# the words of the dip check, and the drawing that stands beside each
ANSWERS = {"dip": "dip", "stir first": "stir", "measure first": "measure", "do not use": "stop"}

COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


@cache
def icon(name: str) -> str:
    """One drawing for beside a word; a reader of the page aloud passes over it."""
    return f'<svg class="icon" viewBox="0 0 48 48" aria-hidden="true" focusable="false">{ICONS[name]}</svg>'


@cache
def state(answer: str) -> str:
    """A dip check in a list: drawing and word."""
    kind = ANSWERS[answer]
    return f'<span class="state {kind}">{icon(kind)}{answer.capitalize()}</span>'


def _n(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")


def dipstick_words(depth_cm: Number | None, of_cm: Number | None, litres: Number | None) -> str:
    if depth_cm is None:
        return "dip stick: depth not known"
    text = f"dip stick: {words.number(depth_cm, 1, least=0)} cm deep"
    if of_cm:
        text += f" of {words.number(of_cm, 1, least=0)} cm"
    return text if litres is None else f"{text}, about {words.number(litres, 1)} L"


@lru_cache(maxsize=1024)
def dipstick(
    *,
    depth_cm: Number | None,
    litres: Number | None = None,
    of_cm: Number | None = None,
    colour: str = "",
    tall: bool = False,
) -> str:
    """A stick wet to the depth, in the glaze's own colour, a mark at every 5 cm.

    Depths in cm, of_cm the inside depth of the bucket (the stick shows 30 cm where it is not known).
    A depth beyond either end is drawn at that end; without a depth the stick is dashed and dry.
    """
    top, foot, left, right = 4.0, 108.0, 20.0, 36.0
    full = float(of_cm) if of_cm else 30.0
    per_cm = (foot - top - 6) / full
    marks = "".join(
        f'<path class="tick" d="M{_n(left)} {_n(foot - cm * per_cm)}h{8 if cm % 10 else 16}"/>'
        for cm in range(5, ceil(full), 5)
    )
    wet = level = ""
    if depth_cm is not None:
        height = min(max(float(depth_cm), 0.0), full) * per_cm
        surface = foot - height
        fill = f' fill="{colour}"' if COLOUR.fullmatch(colour or "") else ""
        kind = "paint" if fill else "wet"
        bend = min(8.0, height)
        wet = (
            f'<path class="{kind}"{fill} d="M{_n(left)} {_n(surface)}H{_n(right)}V{_n(foot - bend)}'
            f'a8 {_n(bend)} 0 0 1-16 0z"/>'
        )
        level = f'<path class="level" d="M10 {_n(surface)}H46"/>'
    else:
        marks = ""
    dashed = " unknown" if depth_cm is None else ""
    return (
        f'<svg class="stick{" tall" if tall else ""}" viewBox="0 0 56 112" role="img" '
        f'aria-label="{dipstick_words(depth_cm, of_cm, litres)}">'
        f'<rect class="ground" x="20" y="4" width="16" height="104" rx="8"/>{wet}'
        f'<rect class="wood{dashed}" x="20" y="4" width="16" height="104" rx="8"/>{marks}{level}</svg>'
    )


def sg_words(sg: Number | None, u: Number | None, target: Number | None, half: Number | None) -> str:
    parts = []
    if sg is not None:
        parts.append(f"specific gravity {words.sg(sg)}" + (f" ± {words.sg(u)}" if u else ""))
    if target is not None and half is not None:
        low, high = words.decimal(target) - words.decimal(half), words.decimal(target) + words.decimal(half)
        parts.append(f"window {words.sg(low)} to {words.sg(high)}")
    elif target is not None:
        parts.append(f"target {words.sg(target)}, no window")
    return ", ".join(parts) or "no specific gravity known"


def step_for(span: float, most: int = 5) -> float:
    """Distance of the numbers along an axis, so that there are at most that many of them."""
    return next(step for step in (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0) if span / step <= most)


def ticks(low: float, high: float, most: int = 5) -> list[tuple[float, str]]:
    """Round specific gravities between two, with the words beside them."""
    step = step_for(high - low, most)
    places = 3 if step < 0.01 else 2
    counts = range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1)
    return [(count * step, words.number(Decimal(count) * Decimal(str(step)), places)) for count in counts]


def around(value: Number, half: Number) -> tuple[float, float]:
    return float(value) - float(half), float(value) + float(half)


@lru_cache(maxsize=1024)
def sg_scale(
    *, sg: Number | None, u: Number | None = None, target: Number | None = None, half: Number | None = None
) -> str:
    """The window, the value in it or beside it, and its doubt as a whisker.

    Specific gravities without unit; u and half are ± around sg and target. The scale always reaches
    everything drawn. Places along it are percentages, so lettering keeps its 16 px at every width.
    """
    points = [float(p) for p in (sg, target) if p is not None]
    if not points:
        return ""
    points += around(sg, u) if sg is not None and u else ()
    points += around(target, half) if target is not None and half else ()
    margin = max((max(points) - min(points)) * 0.2, 0.012)
    low, high = min(points) - margin, max(points) + margin

    def x(value: Number) -> str:
        return f"{(float(value) - low) / (high - low) * 100:.2f}%"

    drawn = []
    if target is not None and half:
        left, right = around(target, half)
        wide = f"{(right - left) / (high - low) * 100:.2f}%"
        drawn.append(f'<rect class="window" x="{x(left)}" y="2" width="{wide}" height="34" rx="4"/>')
    if target is not None:
        drawn.append(f'<line class="target" x1="{x(target)}" y1="3" x2="{x(target)}" y2="35"/>')
    drawn.append('<line class="axis" x1="0" y1="36" x2="100%" y2="36"/>')
    for value, text in ticks(low, high, 4):
        if 0.07 <= (value - low) / (high - low) <= 0.93:
            drawn.append(f'<line class="tick" x1="{x(value)}" y1="36" x2="{x(value)}" y2="42"/>')
            drawn.append(f'<text x="{x(value)}" y="59" text-anchor="middle">{text}</text>')
    if sg is not None and u:
        left, right = (x(end) for end in around(sg, u))
        drawn += [
            f'<line class="doubt" x1="{a}" y1="{b}" x2="{c}" y2="{d}"/>'
            for a, b, c, d in ((left, 19, right, 19), (left, 13, left, 25), (right, 13, right, 25))
        ]
    if sg is not None:
        drawn.append(f'<circle class="dot" cx="{x(sg)}" cy="19" r="8"/>')
    label = sg_words(sg, u, target, half)
    return (
        f'<svg class="scale" width="100%" height="64" role="img" aria-label="{label}">{"".join(drawn)}</svg>'
    )
