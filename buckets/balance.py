"""Water lost against glaze used, between levels that were measured: what can be told, and what is missing."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import IntegerField
from django.utils import timezone

from buckets.calc.loss import TIMES_U, U_LOST_L, U_SG, U_USED_L, U_VOLUME_L, Loss, Step, loss_over
from buckets.happenings import explained
from buckets.models import Interval
from studio import words
from studio.prepared import Prepared

MOST = 40  # of the newest intervals of a fill

ASK = "Read level and gravity together, of stirred glaze, and write down all that goes in."


class Gap(NamedTuple):
    """One interval with what was measured at both ends; ``logged`` as (when, what, litres) texts."""

    reading: int
    at: datetime
    sg: Decimal
    volume_l: Decimal | None
    since: int
    since_at: datetime
    since_sg: Decimal
    since_volume_l: Decimal | None
    predicted_sg: Decimal | None
    residual: Decimal | None
    begins_segment: bool
    used_l: Decimal
    added_l: Decimal
    added_g: Decimal
    logged: tuple[tuple[str, str, str], ...]
    explained: bool


COLUMNS = (
    "reading_id", "at", "reading__sg", "reading__volume_l", "since_id", "since__at", "since__sg",
    "since__volume_l", "predicted_sg", "residual", "begins_segment", "used_l", "added_l", "added_g", "logged",
    "explained",
)  # fmt: skip
NEWEST = Prepared(
    lambda fill: (
        explained(Interval.objects.filter(fill=fill))
        .order_by("-at", "-reading_id")
        .values_list(*COLUMNS)[:MOST]
    ),
    fill=IntegerField(),
)


def newest_gaps(fill: int) -> list[Gap]:
    """The newest 40 intervals of a fill, newest first: one query."""
    return [gap_of(row) for row in NEWEST.rows(fill=fill)]


def gap_of(row: tuple[Any, ...]) -> Gap:
    """An interval from its columns, so that it can be a key."""
    logged = tuple((one["at"], one["what"], one["l"]) for one in row[-2])
    return Gap._make((*row[:-2], logged, row[-1]))


@dataclass(frozen=True)
class Balance:
    """Used and lost between two measured levels. ``loss`` None: it cannot be told, ``missing`` says why.

    ``appeared``: more water is there than was, beyond doubt. ``lost``: water lost is beyond doubt.
    """

    since: datetime
    until: datetime
    logged_l: float
    loss: Loss | None = None
    missing: str = ""

    @property
    def appeared(self) -> bool:
        loss = self.loss
        return loss is not None and (
            loss.water_lost_l < -TIMES_U * U_LOST_L or loss.used_l < -TIMES_U * U_USED_L
        )

    @property
    def lost(self) -> bool:
        return self.loss is not None and self.loss.water_lost_l > TIMES_U * U_LOST_L

    @property
    def days(self) -> float:
        return (self.until - self.since).total_seconds() / 86_400


def of_pair(gap: Gap) -> Balance:
    """Between the two readings of one interval."""
    return _over([gap])


def of_weeks(gaps: Sequence[Gap], since: datetime, *, asked: Sequence[int] = ()) -> Balance | None:
    """Over the newest intervals back to ``since``, as far as each can be told; None for fewer than two.

    One that is still ``asked`` about ends it: water nobody wrote down is in it, perhaps.
    """
    told: list[Gap] = []
    for gap in gaps:
        if gap.since_at < since or gap.reading in asked or _missing(gap):
            break
        told.append(gap)
    return _over(told[::-1]) if len(told) > 1 else None


def _over(gaps: Sequence[Gap]) -> Balance:
    first, last = gaps[0], gaps[-1]
    logged = float(sum((gap.used_l for gap in gaps), Decimal(0)))
    missing = next((said for gap in gaps if (said := _missing(gap))), "")
    loss = None if missing else loss_over([_step(gap) for gap in gaps], u_volume_l=U_VOLUME_L, u_sg=U_SG)
    return Balance(first.since_at, last.at, logged, loss, missing)


def _step(gap: Gap) -> Step:
    assert gap.volume_l is not None and gap.since_volume_l is not None  # noqa: S101, PT018 - not missing
    return Step(
        volume_1_l=float(gap.since_volume_l),
        sg_1=float(gap.since_sg),
        volume_2_l=float(gap.volume_l),
        sg_2=float(gap.sg),
        added_l=float(gap.added_l),
        added_x=float(gap.added_g / 1000 - gap.added_l),
    )


def _missing(gap: Gap) -> str:
    """Why used and lost cannot be told apart in an interval; empty when they can."""
    for at, volume_l in ((gap.since_at, gap.since_volume_l), (gap.at, gap.volume_l)):
        if not volume_l:
            return f"no level was read with the gravity on {day(at)}"
    if gap.predicted_sg is None:
        return f"something was done after {day(gap.since_at)} whose weight nobody knows"
    assert gap.since_volume_l is not None  # noqa: S101 - looked at above
    x_after = (gap.since_sg - 1) * gap.since_volume_l + gap.added_g / 1000 - gap.added_l
    if gap.sg <= 1 or gap.since_sg <= 1 or gap.since_volume_l + gap.added_l <= 0 or x_after <= 0:
        return "there is hardly any powder in it"
    return ""


def day(moment: datetime) -> str:
    """``23 Mar``, where the studio is."""
    here = timezone.localtime(moment)
    return f"{here.day} {here:%b}"


# --- in words


def sentences(balance: Balance, units: str = "metric") -> list[str]:
    """What a balance says, for whoever looks after the bucket."""
    span = f"{day(balance.since)} to {day(balance.until)}"
    loss = balance.loss
    if loss is None:
        return [f"{span}: water lost can’t be told from glaze used, because {balance.missing}. {ASK}"]
    if balance.appeared:
        return [_appeared(span, loss, units)]
    return [_used(span, balance, loss, units), _lost(loss, balance, units)]


def _appeared(span: str, loss: Loss, units: str) -> str:
    more = words.litres(round(-loss.water_lost_l, 2), units)
    return (
        f"{span}: water appeared. By level and gravity about {more} of water is in it that was not written "
        "down, or one of the readings was of glaze that was not stirred. Nothing is corrected by itself."
    )


def _used(span: str, balance: Balance, loss: Loss, units: str) -> str:
    low, high = sorted((loss.used_if_evaporated_first_l, loss.used_if_used_first_l))
    return (
        f"{span}: about {_l(loss.used_l, units)} of glaze was used ({_l(low)} to {_l(high)} by what went "
        f"first, give or take {_l(TIMES_U * U_USED_L)}); {_l(balance.logged_l, units)} was written down."
    )


def _lost(loss: Loss, balance: Balance, units: str) -> str:
    doubt = _l(TIMES_U * U_LOST_L)
    if not balance.lost:
        return f"Water lost is within the doubt of the levels, {doubt}."
    low, high = sorted((loss.lost_if_evaporated_first_l, loss.lost_if_used_first_l))
    return (
        f"About {_l(loss.water_lost_l, units)} of water was lost ({_l(low)} to {_l(high)}, give or take "
        f"{doubt}). Does the lid close?"
    )


def _l(litres: float, units: str = "metric") -> str:
    return words.litres(round(max(litres, 0.0), 2), units)
