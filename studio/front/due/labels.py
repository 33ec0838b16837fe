"""Labels that wait for somebody, or that should not be about any more."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, Q, Subquery
from django.urls import reverse

from safety.hazards import newer_than_label
from safety.models import Label
from safety.operations.labels import WAITING, expired, old_ones_about, waits
from studio.front.due.line import Due
from studio.room.models import Vessel
from studio.room.policy import Policy

MOST = 20  # labels that wait, at once
WITHIN = timedelta(minutes=10)  # two scans this close are two places, not one bucket relabelled


def labels(now: datetime, rules: Policy) -> Iterator[Due]:
    """Printed, and not scanned on their bucket yet; or printed before what is known changed: one query."""
    there = Q(state=Label.State.PRINTED, purpose__in=WAITING)
    rows = Label.objects.exclude(state=Label.State.VOID).annotate(outdated=Exists(newer_than_label()))
    found = list(rows.filter(there | Q(outdated=True)).order_by("-id"))
    waiting = [label for label in found if waits(label)]
    for label in waiting[:MOST]:
        late = expired(label, now, rules)
        yield Due(
            urgency=5 if late else 7,
            icon="label",
            what=f"Label {label.serial} for {label.on_what}: "
            + (
                f"expired, it was never scanned on {_it(label)}"
                if late
                else f"printed, not on {_it(label)} yet"
            ),
            why="Print a new one, stick it on, scan it there."
            if late
            else "Stick it on, take the old one off, scan it there.",
            address=reverse("label", args=[label.serial]),
        )
    yield from _outdated([label.serial for label in found if label.outdated])


def _it(label: Label) -> str:
    return "the bucket" if label.purpose == Label.Purpose.BUCKET else "its container"


def _outdated(serials: list[str]) -> Iterator[Due]:
    """One line for all labels whose hazards were worked out anew since they were printed."""
    if serials:
        more = f" and {len(serials) - 5} more" if len(serials) > 5 else ""
        yield Due(
            urgency=3,
            icon="label",
            what=f"{len(serials)} label{'s' if len(serials) > 1 else ''} out of date: "
            + ", ".join(serials[:5])
            + more,
            why="What is known of the hazards has changed since. Print them anew.",
            address=reverse("labels-out-of-date"),
        )


def old_labels() -> Iterator[Due]:
    """Void labels that are still about: two of one bucket, scanned within minutes, are two places."""
    vessel = Vessel.objects.filter(code=OuterRef("vessel_code"))
    for label in old_ones_about().annotate(other_seen_at=Subquery(vessel.values("seen_at")[:1])):
        other = label.other_seen_at
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
