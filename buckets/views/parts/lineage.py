"""What a bucket's page says of its label and of the cups made from it."""

from datetime import datetime
from typing import Any
from uuid import uuid4

from buckets.models import Fill
from buckets.views.cups import OPEN_CUPS
from safety.models import Label
from safety.operations.labels import expires_at
from studio.room.policy import Policy


def label_and_cups(fill: Fill, now: datetime, rules: Policy) -> dict[str, Any]:
    """The cups that are still about: a query where there are any. ``fill`` comes from ``fill_in``."""
    waits = fill.label_state == Label.State.PRINTED  # type: ignore[attr-defined]
    return {
        "cups": OPEN_CUPS.rows(fill=fill.pk) if fill.has_cups else [],  # type: ignore[attr-defined]
        "picture_key": uuid4(),
        "label_expired": waits and now > expires_at(fill.label_at, rules),  # type: ignore[attr-defined]
    }
