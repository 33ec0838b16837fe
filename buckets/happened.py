"""What happened to a fill lately: facts for its chart, and what they come to in words. No queries here."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.utils.dateparse import parse_datetime

from buckets.balance import Gap, day
from buckets.calc.history import KNOWN_FOR, is_unexplained, limit_of, water_that_explains
from buckets.models import Care, Fill
from studio import words
from studio.calc import spc
from studio.charts import Dot, Rest
from studio.room.measuring import verdict_of

STEPS = (Decimal("0.1"), Decimal("0.05"), Decimal("0.01"), Decimal("0.005"), Decimal("0.001"))
FINEST = Decimal("0.0001")
SAME_SIDE = "W4(8)"  # eight in a row on one side, from twelve points on
SHORT = 16  # letters beside an upright

ADVICE: dict[str, str] = {
    "use": "Inside the window and nothing out of the usual.",
    "find_cause": "Inside the window, but not as expected: find the cause before anybody dips.",
    "adjust": "Outside the window, as was to be expected: adjust once, then measure again.",
    "remeasure": "Outside the window and not as expected: stir, measure again. If it is so again, hold it.",
}


@dataclass(frozen=True)
class Asked:
    """A reading that nobody has explained: what was expected, what came, and the water that would explain it.

    ``water_l`` positive: that went in; negative: that was lost; None: not known how much was in it.
    """

    reading: int
    at: datetime
    sg: Decimal
    expected_sg: Decimal
    residual: Decimal
    water_l: float | None

    @property
    def sentence(self) -> str:
        """What came against what was expected, and what may be behind it."""
        side = "below" if self.residual < 0 else "above"
        said = (
            f"Reading {words.sg(self.sg)} of {day(self.at)} is {words.sg(abs(self.residual))} {side} "
            f"{words.sg(self.expected_sg)}, which was expected of all that was written down."
        )
        return f"{said} {self.perhaps}"

    @property
    def perhaps(self) -> str:
        """What may be behind it, with litres where they are known."""
        if self.water_l is None:
            return "Something not written down, not stirred when measured, or another bucket?"
        litres = words.litres(round(abs(self.water_l), 2))
        if self.residual < 0:
            return f"About {litres} of water not written down, settled when measured, or another bucket?"
        return f"About {litres} of water dried off, powder not written down, or another bucket?"


def asked_of(gap: Gap) -> Asked:
    """An interval as a question. It must have a residual."""
    assert gap.residual is not None and gap.predicted_sg is not None  # noqa: S101, PT018 - as said
    return Asked(gap.reading, gap.at, gap.sg, gap.predicted_sg, gap.residual, water_of(gap))


def water_of(gap: Gap) -> float | None:
    """Litres of water that would explain it, by the level read with it, else by the one before."""
    if gap.predicted_sg is None:
        return None
    before = gap.since_volume_l + gap.added_l - gap.used_l if gap.since_volume_l else None
    return water_that_explains(
        expected_sg=float(gap.predicted_sg),
        sg=float(gap.sg),
        volume_after_l=float(gap.volume_l) if gap.volume_l else None,
        volume_before_l=float(before) if before and before > 0 else None,
    )


def still_asked(fill: Fill, gaps: Sequence[Gap]) -> list[Gap]:
    """The intervals beyond the usual of this fill that nobody has explained."""
    return [
        gap
        for gap in gaps
        if not gap.explained
        and is_unexplained(gap.residual, count=fill.residual_count, total=fill.residual_sum)
    ]


# --- limits


def resolution_of(values: Sequence[Decimal]) -> Decimal:
    """The coarsest usual step that all these values are whole multiples of."""
    return next((step for step in STEPS if all(value % step == 0 for value in values)), FINEST)


def usual(fill: Fill, gravities: Sequence[Decimal]) -> tuple[Decimal | None, str]:
    """How far a reading may usually be off, for the chart, and in a sentence; None where it is not drawn."""
    count, status = fill.residual_count, spc.status_of(fill.residual_count)
    if status == "window only":
        have = "No interval" if not count else f"{count} interval{'' if count == 1 else 's'}"
        return None, f"{have} so far: from {spc.TRIAL} on the chart says what is usual for this bucket."
    limit = limit_of(count=count, total=fill.residual_sum)
    step = resolution_of(gravities)
    if spc.possible_ranges(limit=float(limit), resolution=float(step)) <= spc.CHUNKY:
        return None, (
            f"The readings go in steps of {words.number(step, 3, least=0)}, too coarse to say what is usual. "
            "Weigh a larger volume, or on a finer scale."
        )
    firm = "Each reading moves that until there are 12" if status == "trial" else "That stands firm"
    return (
        limit,
        f"Usual is up to ± {words.sg(limit)} left over, by all {count} intervals of this fill. {firm}.",
    )


def leans(gaps: Sequence[Gap]) -> bool:
    """From 12 intervals on: whether the newest 8 all lie on one side of what the first 12 left over."""
    rests = [float(gap.residual) for gap in reversed(gaps) if gap.residual is not None]
    if len(rests) < spc.LOCKED:
        return False
    base = spc.individuals_chart(x=rests[: spc.LOCKED])
    if not base.sigma:
        return False
    hits = spc.run_rules(z=[(rest - base.mean) / base.sigma for rest in rests])
    return len(rests) in hits.get(SAME_SIDE, [])


# --- what the chart says


def says(fill: Fill, gaps: Sequence[Gap], now: datetime, *, changed: bool) -> str:
    """The verdict of window and limits in words; empty where nothing can be said."""
    reading = fill.check_reading
    if reading is None or reading.sg is None or changed:
        return ""
    if now - reading.at > KNOWN_FOR:
        return f"No technician’s reading for {(now - reading.at).days} days: how it stands is not known."
    verdict = verdict_of(
        sg=reading.sg, u_sg=reading.u_sg, target=fill.target_sg, half_window=fill.half_window
    )
    if verdict is None or verdict.word == "undecided":
        return ""
    signal = fill.unexplained_id is not None or leans(gaps)
    said = ADVICE[spc.window_and_limits(in_window=verdict.word == "inside", in_control=not signal)]
    if signal and fill.unexplained_id is None:
        said += " The last 8 readings all lie to one side of what was usual: lid, way of measuring, use?"
    return said


def drifts(fill: Fill, now: datetime) -> str:
    """When the window's edge will be met; empty where nothing is said."""
    if fill.edge_at is None or fill.target_sg is None or fill.half_window is None:
        return ""
    edge = words.sg(fill.target_sg + fill.half_window)
    if fill.edge_at <= now:
        return f"It was rising: at that rate it met the window’s edge, {edge}, about {day(fill.edge_at)}."
    return f"It is rising: at this rate it meets the window’s edge, {edge}, about {day(fill.edge_at)}."


# --- the chart


def rests_of(gaps: Sequence[Gap], asked: Sequence[int], since: datetime) -> tuple[Rest, ...]:
    """What was left over, oldest first."""
    return tuple(
        Rest(gap.at, gap.residual, gap.reading in asked)
        for gap in reversed(gaps)
        if gap.residual is not None and gap.at >= since
    )


def marks_of(gaps: Sequence[Gap], since: datetime) -> list[tuple[datetime, str]]:
    """What was done in the intervals, in the words beside an upright, oldest first."""
    return [one for gap in reversed(gaps) for one in marks_in(gap.logged) if one[0] >= since]


def marks_in(logged: Iterable[tuple[str, str, str]]) -> list[tuple[datetime, str]]:
    """When, and the words beside an upright, of what an interval keeps as logged."""
    marks = []
    for told, what, litres in logged:
        at, said = parse_datetime(told), mark(what, Decimal(litres))
        if at and said:
            marks.append((at, said))
    return marks


def mark(what: str, litres: Decimal | None) -> str:
    """``water 0.3 L``, ``gum``; empty for what leaves the glaze as it is."""
    if what in (Care.Kind.MOVED, Care.Kind.STIRRED):
        return ""
    named = {Care.Kind.WATER_IN: "water", Care.Kind.WATER_OFF: "water off", Care.Kind.SPLIT: "out"}.get(what)  # type: ignore[call-overload]
    if named and litres:
        return f"{named} {words.litres(abs(litres))}"
    return str(what)[:SHORT]


def dots_of(readings: Sequence[tuple[int, datetime, Decimal, bool]], asked: Sequence[int]) -> tuple[Dot, ...]:
    """Readings (id, at, SG, technician's), oldest first, as they are drawn."""
    return tuple(Dot(at, sg, not is_check, pk in asked) for pk, at, sg, is_check in readings)
