"""What is due, most urgent first: each line says what is so and leads to the act that clears it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.urls import reverse

from batches.models import Batch, Request
from buckets import queries as buckets
from buckets.doubt import age_of
from buckets.models import Report
from safety.models import Label
from safety.operations.labels import expired, old_ones_about
from studio import words
from studio.materials.models import Lot
from studio.recipes.models import Version
from studio.room import policy
from studio.room.models import Vessel
from studio.room.steps import progress

WITHIN = timedelta(minutes=10)  # two scans this close are two places, not one bucket relabelled


@dataclass(frozen=True, kw_only=True)
class Due:
    """One line of Today. ``urgency`` 0 hurts first; ``icon`` names a drawing."""

    urgency: int
    icon: str
    what: str
    why: str
    address: str


def due(now: datetime) -> list[Due]:
    """Everything that waits for a technician, in order of what hurts first. Flat in queries."""
    reports = list(Report.objects.filter(answered_at=None).select_related("fill__vessel").order_by("at")[:20])
    reported = {report.fill_id for report in reports}
    rules = policy.in_force()
    found = [*_reports(reports, now, rules), *_buckets(now, reported, rules), *_batches(), *_requests()]
    found += [*_store(), *_labels(now), *_old_labels(), *_room()]
    return sorted(found, key=lambda line: line.urgency)


def _reports(reports: list[Report], now: datetime, rules: policy.Policy) -> Iterator[Due]:
    for report in reports:
        age = age_of(report, now, rules)
        days = f"{age.days} day{'' if age.days == 1 else 's'}"
        yield Due(
            urgency=0,
            icon="wrong",
            what=f"{report.fill.vessel.code} {report.fill.glaze}: something is wrong",
            why=f"{report.said}. {'Late: n' if age.late else 'N'}obody has answered yet, open for {days}.",
            address=reverse("report-page", args=[report.fill.vessel.code, report.pk]),
        )


def _buckets(now: datetime, reported: set[int], rules: policy.Policy) -> Iterator[Due]:
    for fill in buckets.open_fills().exclude(pk__in=reported).order_by("vessel__code"):
        check = buckets.dip_check_of(fill, now, rules)
        name, address = f"{fill.vessel.code} {fill.glaze}", reverse("bucket", args=[fill.vessel.code])
        if fill.held:
            yield Due(urgency=1, icon="stop", what=f"{name}: held", why=fill.held_reason, address=address)
        elif fill.state == fill.State.TESTING:
            why = "Release it when its tile is good."
            yield Due(urgency=4, icon="clock", what=f"{name}: in testing", why=why, address=address)
        elif check.answer in ("do not use", "measure first"):
            urgency, icon = (2, "stop") if check.answer == "do not use" else (3, "measure")
            yield Due(
                urgency=urgency,
                icon=icon,
                what=f"{name}: {check.answer}",
                why=check.reasons[0].sentence,
                address=address,
            )


def _batches() -> Iterator[Due]:
    going = Batch.objects.exclude(
        state__in=(Batch.State.RELEASED, Batch.State.REJECTED, Batch.State.ABANDONED, Batch.State.TESTING)
    )
    for batch in going[:20]:
        state = f"held ({batch.held_reason})" if batch.held else batch.state
        yield Due(
            urgency=1 if batch.held else 3,
            icon="scale",
            what=f"Batch {batch.number}, {batch.copy['name']}: {state}",
            why=f"{words.mass(batch.dry_g)} dry, to {words.litres(batch.to_volume_l)}.",
            address=reverse("batch", args=[batch.number]),
        )


def _requests() -> Iterator[Due]:
    asked = Request.objects.filter(state=Request.State.ASKED).select_related("version__recipe", "by")
    for request in asked.order_by("number")[:20]:
        glaze = request.version.recipe.name
        yield Due(
            urgency=5,
            icon="person",
            what=f"Request {request.number}: {words.litres(request.to_volume_l)} {glaze}",
            why=f"{request.by} asks{': ' + request.why if request.why else ''}.",
            address=reverse("request", args=[request.number]),
        )


def _store() -> Iterator[Due]:
    for lot in Lot.objects.filter(state=Lot.State.QUARANTINE, on_hand_g__gt=0).select_related("material")[
        :20
    ]:
        yield Due(
            urgency=6,
            icon="powder",
            what=f"Lot {lot.code}, {lot.material}: in quarantine",
            why=f"{words.mass(lot.on_hand_g)} cannot be weighed until it is released. {lot.note}".strip(),
            address=reverse("lot", args=[lot.code]),
        )
    drafts = Version.objects.filter(state=Version.State.DRAFT).select_related("recipe", "made_by")
    for version in drafts[:20]:
        yield Due(
            urgency=6,
            icon="page",
            what=f"{version.recipe}, version {version.number}: draft",
            why=f"Made by {version.made_by}; another technician approves it.",
            address=reverse("recipe", args=[version.recipe_id]),
        )


def _labels(now: datetime) -> Iterator[Due]:
    rules = policy.in_force()
    for label in Label.objects.filter(state=Label.State.PRINTED, purpose=Label.Purpose.BUCKET)[:20]:
        late = expired(label, now, rules)
        yield Due(
            urgency=5 if late else 7,
            icon="label",
            what=f"Label {label.serial} for {label.vessel_code}: "
            + ("expired, it was never scanned on the bucket" if late else "printed, not on the bucket yet"),
            why="Print a new one, stick it on, scan it there."
            if late
            else "Stick it on, take the old one off, scan it there.",
            address=reverse("label", args=[label.serial]),
        )


def _old_labels() -> Iterator[Due]:
    """Void labels that are still about: two of one bucket, scanned within minutes, are two places."""
    old = list(old_ones_about())
    seen = dict(
        Vessel.objects.filter(code__in={label.vessel_code for label in old}).values_list("code", "seen_at")
    )
    for label in old:
        other = seen.get(label.vessel_code)
        both = other is not None and label.seen_at is not None and abs(other - label.seen_at) <= WITHIN
        yield Due(
            urgency=2,
            icon="label",
            what=f"Old label {label.serial} of {label.vessel_code} was scanned"
            + (", and the one in force within minutes" if both else ""),
            why=("Two places may bear its name. " if both else "It is still on a bucket. ")
            + f"Void: {label.void_reason}. Take it off, and look what it was on.",
            address=reverse("label", args=[label.serial]),
        )


def _room() -> Iterator[Due]:
    """A room begun and not yet set up; an empty one has a page of its own."""
    steps = progress()
    left = [part.step for part in steps if not part.done]
    begun = any(part.count for part in steps if part.step.url == "add-vessel")
    if left and begun:
        yield Due(
            urgency=8,
            icon="tick",
            what=f"Setting up the room: {len(steps) - len(left)} of {len(steps)} done",
            why=f"Next: {left[0].name.lower()}. {left[0].why}",
            address=reverse("room"),
        )
