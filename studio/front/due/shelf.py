"""What waits at the buckets: reports first, then whatever keeps members from dipping."""

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from urllib.parse import urlencode

from django.db.models import Exists, OuterRef, Value
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils import timezone

from batches.models import Batch, Request
from buckets import queries
from buckets.calc.dip import DipCheck
from buckets.days_left import Left, left_in
from buckets.doubt import age_of
from buckets.models import Care, Fill, Report
from buckets.operations.care import LOOSENED
from buckets.operations.standing import STANDS
from studio import words
from studio.front.due.line import Due
from studio.room.policy import Policy

DRIFTS = timedelta(days=7)  # an edge of the window reached within a week is worth a line today
LASTS = 7.0  # days: what lasts no longer should be made now
LOOSE = timedelta(days=14)  # a bed that was loosened is watched for so long

# Where the act that clears a reason is found, and with which drawing and urgency the line stands.
ACTS = {
    "lift": "lift-hold",
    "release": "release-fill",
    "measure": "record-reading",
    "measure flow": "record-flow",
    "thin": "water-in",
    "stir": "stir",
}


def reports(rows: list[Report], now: datetime, rules: Policy) -> Iterator[Due]:
    """What people reported and nobody has answered."""
    for report in rows:
        age = age_of(report, now, rules)
        since = f"for {age.days} day{'' if age.days == 1 else 's'}" if age.days else "since today"
        yield Due(
            urgency=0,
            icon="wrong",
            what=f"{report.fill.vessel.code} {report.fill.glaze}: something is wrong",
            why=f"{report.said}. {'Late: n' if age.late else 'N'}obody has answered yet, open {since}.",
            address=reverse("report-page", args=[report.fill.vessel.code, report.pk]),
        )


def fills(now: datetime, rules: Policy, *, but: set[int], making: Iterable[Batch]) -> Iterator[Due]:
    """Every bucket that needs somebody: two queries. ``but``: fills that were reported have their line."""
    lately = now - LOOSE
    measured = Coalesce(OuterRef("check_reading__at"), Value(lately))
    loosened = Care.objects.filter(STANDS, fill=OuterRef("pk"), how=LOOSENED, at__gte=lately, at__gt=measured)
    rows = queries.open_fills().annotate(loose=Exists(loosened)).order_by("vessel__code")
    here = list(rows)
    left = left_in(here, now, rules)
    coming = {batch.vessel_id for batch in making if batch.copy["wish"]["kind"] == Request.Wish.BRING_TO}
    for fill in here:
        check = queries.dip_check_of(fill, now, rules)
        if fill.pk not in but:
            yield from _kept_from_dipping(fill, check)
            yield from _soon(fill, check, now)
        if fill.vessel_id not in coming and not fill.held:
            yield from _low(fill, left[fill.pk])


def _name(fill: Fill) -> str:
    return f"{fill.vessel.code} {fill.glaze}"


def _act(fill: Fill, act: str | None) -> str:
    """The address of an act at this bucket; its page where there is none of its own."""
    return reverse(ACTS.get(act or "", "bucket"), args=[fill.vessel.code])


def _kept_from_dipping(fill: Fill, check: DipCheck) -> Iterator[Due]:
    """The one thing that keeps members from dipping, the gravest."""
    name, reason = _name(fill), check.reasons[0]
    if fill.held:
        yield Due(
            urgency=1,
            icon="stop",
            what=f"{name}: held",
            why=f"{fill.held_reason}.",
            address=_act(fill, "lift"),
        )
    elif fill.state == Fill.State.TESTING:
        why = "Release it when its tile is good."
        yield Due(urgency=5, icon="clock", what=f"{name}: in testing", why=why, address=_act(fill, "release"))
    elif fill.unexplained_id:
        yield Due(
            urgency=1,
            icon="measure",
            what=f"{name}: find the cause",
            why="Its last reading was not what was to be expected, and nobody has said why.",
            address=_act(fill, None),
        )
    elif check.answer in ("do not use", "measure first"):
        urgency, icon = (2, "stop") if check.answer == "do not use" else (3, "measure")
        yield Due(
            urgency=urgency,
            icon=icon,
            what=f"{name}: {check.answer}",
            why=reason.sentence,
            address=_act(fill, reason.act),
        )


def _soon(fill: Fill, check: DipCheck, now: datetime) -> Iterator[Due]:
    """What does not keep anybody from dipping yet."""
    name = _name(fill)
    if fill.loose:  # type: ignore[attr-defined]
        yield Due(
            urgency=3,
            icon="stir",
            what=f"{name}: had settled hard",
            why="It was loosened by hand and not measured since. Stir, measure, see to the cause.",
            address=_act(fill, "measure"),
        )
    if check.answer in ("dip", "stir first") and fill.edge_at and fill.edge_at <= now + DRIFTS:
        day = timezone.localdate(fill.edge_at)
        reached = "now" if day <= timezone.localdate(now) else f"about {day.day} {day:%b}"
        yield Due(
            urgency=4,
            icon="drop",
            what=f"{name}: drifting",
            why=f"At this pace it leaves its window {reached}. A little water now is less than much later.",
            address=_act(fill, "thin"),
        )
    if fill.tile_due:
        yield Due(
            urgency=6,
            icon="kiln",
            what=f"{name}: its tile is due",
            why="It was released before its tile was fired. Say how it came out.",
            address=reverse("judge-tile", args=[fill.vessel.code]),
        )


def _low(fill: Fill, left: Left) -> Iterator[Due]:
    """Little left, or not for long; a reclaim bucket is never restocked."""
    soon = left.days is not None and left.days <= LASTS
    if fill.reclaim or fill.recipe_id is None or not (left.low or soon):
        return
    bring_to = urlencode({"vessel": fill.vessel.code, "wish": Request.Wish.BRING_TO})
    yield Due(
        urgency=4,
        icon="bucket",
        what=f"{_name(fill)}: {words.about_litres(fill.volume_l)} left",
        why=_lasting(left),
        address=f"{reverse('ask')}?{bring_to}",
    )


def _lasting(left: Left) -> str:
    if left.used_l_per_week is None or left.days is None:
        return "Under a third of a full bucket. How fast it goes is not known yet."
    week = words.litres(round(left.used_l_per_week, 2))
    if left.days < 1:
        return f"About {week} go a week, and it is too shallow to dip already. Bring it up."
    days = round(left.days)
    return (
        f"About {week} go a week: about {days} day{'' if days == 1 else 's'} until it is too shallow to dip."
    )
