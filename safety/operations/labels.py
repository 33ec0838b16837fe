"""Labels: printed, applied by scanning, void. One in force per thing and purpose."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from safety.contact import NOTHING, Food, food_of_mixes
from safety.labelling.hazard_part import hazard_part
from safety.mixes import from_plain
from safety.models import Classification, Label
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room import policy
from studio.room.models import Vessel
from studio.room.policy import Policy

RIGHTS = {
    Label.Purpose.CUP: rights.USE,
    Label.Purpose.BUCKET: rights.WET,
    Label.Purpose.WORKING: rights.WET,
}
# Scanned where they are stuck on; a working label and a cup's are stuck on as they are printed.
WAITING = tuple(set(Label.Purpose.values) - {Label.Purpose.WORKING, Label.Purpose.CUP})
SCANS_APART = timedelta(minutes=1)  # of scans within a minute one is remembered


@act("label printed", about="on")
def print_label(
    *,
    purpose: str,
    on: models.Model,
    vessel_code: str = "",
    content: dict[str, Any],
    classification: Classification | None = None,
    food: Food | None = None,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Label:
    """A new serial for ``on`` (a fill, a batch, a cup, a container, a lot); the label before becomes void.

    ``content`` is what the label says, kept with it together with what ``classification`` says of hazards
    and of food contact (``food``; else what leach tests support for the mixture classified): PDFs are made
    from this copy alone. Whoever may use glaze may label a cup of it; what is neither bucket nor cup belongs
    to the binder.
    """
    refuse_unless(by, RIGHTS.get(Label.Purpose(purpose), rights.BINDER))
    moment = at or timezone.now()
    serial = f"Q{take_number('label'):04d}"  # the counter's lock also orders two printers
    _void(_in_force(on).filter(purpose=purpose), f"printed again as {serial}", moment)
    food = food or _food(classification, moment)
    before = Label.objects.filter(on_kind=on._meta.label_lower, on_id=on.pk, purpose=purpose).count()
    return Label.objects.create(
        serial=serial,
        purpose=purpose,
        print_number=before + 1,
        on_kind=on._meta.label_lower,
        on_id=on.pk,
        vessel_code=vessel_code,
        content={**content, "hazards": hazard_part(classification, food=food.sentence, until=food.until)},
        classification=classification,
        printed_at=moment,
        printed_by=by,
    )


def _food(classification: Classification | None, moment: datetime) -> Food:
    if classification is None:
        return NOTHING
    return food_of_mixes([from_plain(classification.mix)], timezone.localdate(moment))[0]


@act("label applied", about="label")
def apply_label(*, label: Label, by: Member, key: UUID | None = None, at: datetime | None = None) -> Label:
    """Somebody stuck it on the bucket and scanned it there. Refused when it is void or has expired."""
    label = Label.objects.select_for_update().get(pk=label.pk)
    refuse_unless(by, rights.USE)
    if label.state == Label.State.VOID:
        raise Refused(f"Label {label.serial} is void ({label.void_reason}). Take it off the bucket.")
    moment = at or timezone.now()
    if expired(label, moment, policy.in_force()):
        raise Refused(
            f"Label {label.serial} was printed too long ago and never scanned on its bucket, so it has "
            "expired. Print a new one."
        )
    if label.state == Label.State.PRINTED:
        label.state, label.applied_at = Label.State.APPLIED, moment
        label.save(update_fields=["state", "applied_at"])
    return label


@act("old label taken off", about="label")
def take_off_label(*, label: Label, by: Member, key: UUID | None = None, at: datetime | None = None) -> Label:
    """Somebody took a void label off the bucket it was still on."""
    label = Label.objects.select_for_update().get(pk=label.pk)
    refuse_unless(by, rights.USE)
    if label.state != Label.State.VOID:
        raise Refused(f"Label {label.serial} is in force. It stays on its bucket.")
    label.taken_off_at = at or timezone.now()
    label.save(update_fields=["taken_off_at"])
    return label


def expires_at(printed_at: datetime, rules: Policy) -> datetime:
    """Until when a printed label may be put on its bucket."""
    return printed_at + timedelta(hours=float(rules.label_expires_h))


def expired(label: Label, now: datetime, rules: Policy) -> bool:
    """Whether a label lay about too long before anybody scanned it on its bucket or container.

    Worked out when it is asked: nothing is written for it. Printing a new one makes it void.
    """
    return waits(label) and now > expires_at(label.printed_at, rules)


def waits(label: Label) -> bool:
    """Whether it is printed and nobody scanned it on its bucket or container yet."""
    return label.state == Label.State.PRINTED and label.purpose in WAITING


def remember_scan(label: Label, now: datetime) -> None:
    """Where and when a label was last seen: at most one small write a minute, and no row that grows.

    A label in force says that its bucket was seen where it stands on record; a void one that it is still
    about.
    """
    lately = now - SCANS_APART
    if label.state == Label.State.VOID:
        if label.seen_at is None or label.seen_at < lately:
            Label.objects.filter(pk=label.pk).update(seen_at=now)
    elif label.purpose == Label.Purpose.BUCKET:
        of_it = Vessel.objects.filter(Q(seen_at=None) | Q(seen_at__lt=lately), code=label.vessel_code)
        of_it.update(seen_at=now, seen_place=F("place"))


def old_ones_about(limit: int = 20) -> models.QuerySet[Label]:
    """Void labels that were scanned after they became void and that nobody has taken off since."""
    about = Label.objects.filter(state=Label.State.VOID, seen_at__gt=F("void_at"))
    return about.filter(Q(taken_off_at=None) | Q(taken_off_at__lt=F("seen_at"))).order_by("-seen_at")[:limit]


def void_labels(on: models.Model, reason: str, at: datetime | None = None) -> int:
    """Void every label in force on ``on``; part of an act (emptied, poured). How many were."""
    return _void(_in_force(on), reason, at or timezone.now())


def _in_force(on: models.Model) -> models.QuerySet[Label]:
    return (
        Label.objects.select_for_update()
        .filter(on_kind=on._meta.label_lower, on_id=on.pk)
        .exclude(state=Label.State.VOID)
    )


def _void(labels: models.QuerySet[Label], reason: str, at: datetime) -> int:
    pks = [label.pk for label in labels]
    return Label.objects.filter(pk__in=pks).update(state=Label.State.VOID, void_at=at, void_reason=reason)


def labels_in_force(on_kind: str, ids: Iterable[int]) -> dict[int, Label]:
    """The bucket or working label in force by the id of what it is on: one query."""
    rows = Label.objects.filter(on_kind=on_kind, on_id__in=list(ids)).exclude(state=Label.State.VOID)
    return {label.on_id: label for label in rows}
