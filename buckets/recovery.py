"""Recovery of a bucket that froze or settled hard, step by step: which are done, by its own history."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils import timezone

from buckets.models import Care, Fill
from buckets.operations.care import LOOSENED
from buckets.operations.standing import STANDS

WAIT = timedelta(minutes=10)  # after a dose, before it is judged; common practice, no source
STILL = timedelta(days=7)  # how long ago it may have begun and still be the same recovery


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step: ``name`` says which, ``done_at`` when it was done, ``until`` till when to wait."""

    name: str
    done_at: datetime | None = None
    until: datetime | None = None


def steps_of(fill: Fill, which: str) -> list[Step]:
    """The steps of a recovery ("thawed" or "hard settled") with what of it is done. Two queries."""
    begun, rows = _since_begun(fill, which)
    if begun is None:
        return [Step(name=name) for name in NAMES[which]]
    return [_step(name, begun, rows, fill) for name in NAMES[which]]


NAMES = {
    "thawed": ("thawed", "stirred", "sieved", "measured"),
    "hard settled": ("loosened", "dosed", "waited", "measured"),
}
KIND = {"stirred": Care.Kind.STIRRED, "sieved": Care.Kind.SIEVED, "dosed": Care.Kind.ADDITIVE_IN}


def _since_begun(fill: Fill, which: str) -> tuple[Care | None, list[Care]]:
    began = fill.care.filter(STANDS, at__gte=timezone.now() - STILL).order_by("-at", "-id")
    if which == "thawed":
        began = began.filter(kind=Care.Kind.THAWED)
    else:
        began = began.filter(kind=Care.Kind.STIRRED, how=LOOSENED)
    first = began.first()
    if first is None:
        return None, []
    since = fill.care.filter(STANDS, at__gte=first.at).exclude(pk=first.pk).order_by("at", "id")
    return first, list(since)


def _step(name: str, begun: Care, rows: list[Care], fill: Fill) -> Step:
    if name in ("thawed", "loosened"):
        return Step(name=name, done_at=begun.at)
    if name == "waited":
        return _wait(begun, rows)
    if name == "measured":
        last = max([begun.at, *(row.at for row in rows if row.kind in Care.CHANGES)])
        reading = max(
            (row.at for row in (fill.check_reading, fill.member_reading) if row and row.at >= last),
            default=None,
        )
        return Step(name=name, done_at=reading)
    done = [row.at for row in rows if row.kind == KIND[name]]
    return Step(name=name, done_at=done[-1] if done else None)


def _wait(begun: Care, rows: list[Care]) -> Step:
    """Ten minutes after the last dose, or after the loosening when nothing was dosed."""
    until = max([begun.at, *(row.at for row in rows if row.kind == Care.Kind.ADDITIVE_IN)]) + WAIT
    return Step(name="waited", done_at=until if until <= timezone.now() else None, until=until)
