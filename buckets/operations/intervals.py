"""The intervals of a fill kept in step with its history, around what changed in it and no further."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import Max, Q

from buckets import happenings
from buckets.calc.history import Expected, Told, drift, is_unexplained, tell
from buckets.happenings import BEGINS, JOINS, STANDS
from buckets.models import Care, Explanation, Fill, Interval, Reading, Use

KEPT = (
    "residual_count",
    "residual_sum",
    "unexplained",
    "edge_at",
    "told_reading",
    "told_care",
    "told_use",
)
LATELY = 40  # intervals that a forecast looks back over at most
MOST_PLACES = 40  # to work around one by one; more at once were written in bulk
FACTS = (
    "predicted_sg", "residual", "begins_segment", "used_l", "added_l", "added_g", "logged", "at", "since_id",
)  # fmt: skip


def restate_intervals(fill: Fill) -> None:
    """Work out afresh what the newest rows of history touch, and what the fill carries of it; not saved.

    The fill must be locked. Which rows are new is known by their numbers, so it does not matter when they
    say that they happened, nor which act wrote them.
    """
    touched = _touched(fill)
    if touched is None:
        return
    if len(touched) > MOST_PLACES:
        _around(fill, min(touched), to_the_end=True)
        carry(fill)
        return
    done_to: datetime | None = None
    for moment in sorted(touched):
        if done_to is None or moment >= done_to:
            done_to = _around(fill, moment)
            if done_to is None:  # to the end
                break
    carry(fill)


def _touched(fill: Fill) -> set[datetime] | None:
    """When that happened which was written since the last time; None: nothing that matters here."""
    moments: set[datetime] = set()
    readings = fill.readings.filter(pk__gt=fill.told_reading).select_related("replaces")
    for reading in readings:
        moments |= _moments_of(reading)
        fill.told_reading = max(fill.told_reading, reading.pk)
    new_care = fill.care.filter(pk__gt=fill.told_care).values_list("pk", "kind", "at", "reverses__at")
    for pk, kind, at, undone_at in new_care:
        if kind != Care.Kind.STIRRED:
            moments.add(undone_at or at)
        fill.told_care = max(fill.told_care, pk)
    for pk, at, undone_at in fill.uses.filter(pk__gt=fill.told_use).values_list("pk", "at", "reverses__at"):
        moments.add(undone_at or at)
        fill.told_use = max(fill.told_use, pk)
    return moments or None


def _moments_of(reading: Reading) -> set[datetime]:
    moments = {reading.at}
    if reading.replaces:
        moments.add(reading.replaces.at)
        # what repeated it counts now in its place
        moments |= set(reading.replaces.repeated_by.values_list("at", flat=True))
    return moments


# --- intervals around one moment


def _around(fill: Fill, moment: datetime, *, to_the_end: bool = False) -> datetime | None:
    """Work out the intervals that something at ``moment`` can reach; until when, None: to the end.

    That is the one it lies in, and those after it up to the next level that was read: before that, how
    many litres there are still rests on it.
    """
    joins = fill.readings.filter(JOINS)
    first = joins.filter(at__lt=moment).order_by("-at", "-id").first()
    level = (
        fill.readings.filter(volume_l__isnull=False, replaced_by=None, at__gt=moment)
        .order_by("at", "id")
        .first()
    )
    last = None
    if level and not to_the_end:
        last = joins.filter(at__gte=level.at).order_by("at", "id").first()
    until = last.at if last else None
    told = happenings.happened(fill.pk, first.at if first else None, until)
    if first:
        begin = next(n for n, one in enumerate(told) if one.place[2] == 0 and one.id == first.pk)
        told = told[begin:]
    start_l = happenings.litres_at(fill.pk, first) if first else None
    _keep(fill, first, until, tell(told, volume_l=start_l).intervals)
    return until


def _keep(fill: Fill, first: Reading | None, until: datetime | None, found: list[Expected]) -> None:
    """Put these intervals in the place of what is kept after ``first`` up to ``until``."""
    span = Q()
    if first:
        span &= Q(at__gt=first.at)
    if until:
        span &= Q(at__lte=until)
    there = {row.reading_id: row for row in fill.intervals.filter(span)}
    new, changed = [], []
    for one in found:
        row = there.pop(one.reading, None)
        before = None if row is None else row.residual
        _count(fill, before, one.residual)
        if row is None:
            new.append(_row(fill, one))
        elif any(getattr(row, name) != value for name, value in _facts(one).items()):
            for name, value in _facts(one).items():
                setattr(row, name, value)
            changed.append(row)
    for row in there.values():
        _count(fill, row.residual, None)
    Interval.objects.filter(pk__in=[row.pk for row in there.values()]).delete()
    Interval.objects.bulk_create(new, batch_size=500)
    if changed:
        Interval.objects.bulk_update(changed, FACTS, batch_size=200)


def _count(fill: Fill, before: Decimal | None, after: Decimal | None) -> None:
    for residual, sign in ((before, -1), (after, 1)):
        if residual is not None:
            fill.residual_count += sign
            fill.residual_sum += sign * abs(residual)


def _facts(one: Expected) -> dict[str, Any]:
    return {name: one.since if name == "since_id" else getattr(one, name) for name in FACTS}


def _row(fill: Fill, one: Expected) -> Interval:
    return Interval(fill=fill, reading_id=one.reading, **_facts(one))


# --- what the fill carries of them


class Late(NamedTuple):
    """One of the newest intervals, as the forecast reads it."""

    reading: int
    at: datetime
    sg: Decimal
    since_at: datetime
    since_sg: Decimal
    residual: Decimal | None
    begins_segment: bool
    explained: bool


LATE = (
    "reading_id", "at", "reading__sg", "since__at", "since__sg", "residual", "begins_segment", "explained",
)  # fmt: skip


def carry(fill: Fill) -> None:
    """What a fill carries of its newest intervals and of what was said of them; not saved."""
    newest_first = happenings.explained(fill.intervals.order_by("-at", "-reading_id"))
    late = [Late(*row) for row in newest_first.values_list(*LATE)[:LATELY]]
    fill.unexplained_id = _unexplained(fill, late)
    # After a known cause it is another bucket of glaze, until it has been measured.
    begun = bool(late) and fill.care.filter(STANDS, kind__in=BEGINS, at__gte=late[0].at).exists()
    fill.edge_at = None if begun else _edge_at(fill, late)


def _unexplained(fill: Fill, late: list[Late]) -> int | None:
    """The newest reading, when it is beyond the usual and nobody has said why."""
    if not late or late[0].explained:
        return None
    beyond = is_unexplained(late[0].residual, count=fill.residual_count, total=fill.residual_sum)
    return late[0].reading if beyond else None


def _edge_at(fill: Fill, late: list[Late]) -> datetime | None:
    """When the window's upper edge is met if the segment goes on as it has; None: nothing is said."""
    if not late or fill.target_sg is None or fill.half_window is None:
        return None
    points = segment_of(fill, late)
    begin = points[0][0]
    found = drift(
        days=[(at - begin) / timedelta(days=1) for at, _ in points],
        sg=[float(sg) for _, sg in points],
        edge=float(fill.target_sg + fill.half_window),
    )
    if found is None or found.reaches_in_days is None:
        return None
    minutes = round(found.reaches_in_days * 24 * 60)
    return late[0].at + timedelta(minutes=minutes)


def segment_of(fill: Fill, late: Iterable[Late]) -> list[tuple[datetime, Decimal]]:
    """Moment and SG of the readings since the newest known cause, oldest first."""
    points: list[tuple[datetime, Decimal]] = []
    for one in late:
        points.append((one.at, one.sg))
        begins = one.begins_segment or (
            is_unexplained(one.residual, count=fill.residual_count, total=fill.residual_sum) and one.explained
        )
        if begins or one.residual is None:
            return points[::-1]
        before = (one.since_at, one.since_sg)
    return [before, *points[::-1]]


# --- from scratch


def write_all() -> None:
    """Every interval of every fill anew, with what the fills carry: after rows were written in bulk."""
    Interval.objects.all().delete()
    fills = {fill.pk: fill for fill in Fill.objects.all()}
    said = said_of()
    for pk, told in happenings.told_anew():
        Interval.objects.bulk_create([_row(fills[pk], one) for one in told.intervals], batch_size=500)
        carry_from_scratch(fills[pk], told, said)
    for name, model in (("told_reading", Reading), ("told_care", Care), ("told_use", Use)):
        for pk, newest in model.objects.order_by().values_list("fill").annotate(Max("pk")):
            setattr(fills[pk], name, newest)
    Fill.objects.bulk_update(fills.values(), KEPT, batch_size=200)


def said_of() -> set[int]:
    """Readings that a person has explained."""
    return set(Explanation.objects.values_list("reading", flat=True))


def carry_from_scratch(fill: Fill, told: Told, said: set[int]) -> None:
    """What a fill carries, by its history told from the first row; of what was kept nothing. Not saved."""
    residuals = [abs(one.residual) for one in told.intervals if one.residual is not None]
    fill.residual_count, fill.residual_sum = len(residuals), sum(residuals, Decimal(0))
    late = [
        Late(
            one.reading,
            one.at,
            one.sg,
            one.since_at,
            one.since_sg,
            one.residual,
            one.begins_segment,
            one.reading in said,
        )
        for one in told.intervals[: -LATELY - 1 : -1]
    ]
    fill.unexplained_id = _unexplained(fill, late)
    fill.edge_at = None if told.begun else _edge_at(fill, late)
