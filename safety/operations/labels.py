"""Labels: printed, applied by scanning, void. One in force per thing and purpose."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import models
from django.utils import timezone

from safety.models import Label
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member


@act("label printed", about="on")
def print_label(
    *,
    purpose: str,
    on: models.Model,
    vessel_code: str = "",
    content: dict[str, Any],
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Label:
    """A new serial for ``on`` (a fill or a batch); the label in force before it becomes void.

    ``content`` is what the label says, kept with it: PDFs are made from this copy alone.
    """
    refuse_unless(by, rights.WET)
    moment = at or timezone.now()
    serial = f"Q{take_number('label'):04d}"  # the counter's lock also orders two printers
    _void(_in_force(on).filter(purpose=purpose), f"printed again as {serial}", moment)
    return Label.objects.create(
        serial=serial,
        purpose=purpose,
        on_kind=on._meta.label_lower,
        on_id=on.pk,
        vessel_code=vessel_code,
        content=content,
        printed_at=moment,
        printed_by=by,
    )


@act("label applied", about="label")
def apply_label(*, label: Label, by: Member, key: UUID | None = None, at: datetime | None = None) -> Label:
    """Somebody stuck it on the bucket and scanned it there."""
    label = Label.objects.select_for_update().get(pk=label.pk)
    refuse_unless(by, rights.USE)
    if label.state == Label.State.VOID:
        raise Refused(f"Label {label.serial} is void ({label.void_reason}). Take it off the bucket.")
    if label.state == Label.State.PRINTED:
        label.state, label.applied_at = Label.State.APPLIED, at or timezone.now()
        label.save(update_fields=["state", "applied_at"])
    return label


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
