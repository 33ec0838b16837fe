"""The label of a bucket inside the acts that change what it says: classified afresh, printed anew."""

from datetime import datetime

from buckets.labels import bucket_label_content
from buckets.models import Cup, Fill
from safety.contact import NOTHING, Food
from safety.models import Classification, Label
from safety.operations.labels import print_label
from studio.people.models import Member

WHY = "a label was printed"


def label_fill(fill: Fill, *, by: Member, at: datetime | None = None) -> Label:
    """A new label for a fill, from what its mixture is known to be now; the one before becomes void."""
    return print_label(
        purpose=Label.Purpose.BUCKET,
        on=fill,
        vessel_code=fill.vessel.code,
        content=bucket_label_content(fill),
        classification=_classified(fill, by, at),
        food=_food(fill),
        by=by,
        at=at,
    )


def label_cup(cup: Cup, content: dict[str, object], *, by: Member, at: datetime | None = None) -> Label:
    """The label of a side cup: its hazards are those of the bucket it came from."""
    return print_label(
        purpose=Label.Purpose.CUP,
        on=cup,
        vessel_code=cup.fill.vessel.code,
        content=content,
        classification=_classified(cup.fill, by, at),
        food=_food(cup.fill),
        by=by,
        at=at,
    )


def _food(fill: Fill) -> Food | None:
    """Foreign glaze may be in a tinted one: no test speaks for it. None: what is in it decides."""
    return NOTHING if fill.tinted else None


def _classified(fill: Fill, by: Member, at: datetime | None) -> Classification:
    from buckets.mix import classified  # it asks lineage and care, whose acts print labels

    return classified(fill, why=WHY, by=by, at=at)
