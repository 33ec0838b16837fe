"""The label of a bucket: printed from the fill's own facts, as its own copy."""

from datetime import datetime
from uuid import UUID

from buckets.errors import FillEmptied
from buckets.models import Fill
from buckets.operations.labelling import label_fill
from safety.models import Label
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member


@act("bucket label printed", about="fill")
def print_bucket_label(
    *, fill: Fill, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Label:
    """A new label for what is in the bucket; the one before becomes void."""
    fill = Fill.objects.select_for_update(of=("self",)).select_related("vessel").get(pk=fill.pk)
    refuse_unless(by, rights.WET)
    if fill.emptied_at:
        raise FillEmptied(fill)
    return label_fill(fill, by=by, at=at)
