"""What an act would do, found by doing it and taking it all back before anybody sees it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from buckets.afterwards import Afterwards, afterwards, predicted_sg
from buckets.calc.changes import NOTHING
from buckets.models import Care, Fill
from studio.room import policy


@dataclass(frozen=True, kw_only=True)
class Tried:
    """The row as it would be written, and the bucket as it would stand."""

    row: Care
    after: Afterwards


def tried(do: Callable[..., Care], fill: Fill, **told: Any) -> Tried:
    """Try an act on a fill: the same refusals, the same sums, and nothing of it stays."""
    rules = policy.in_force()
    with transaction.atomic():
        before = predicted_sg(fill)
        row = do(fill=fill, **told)
        after = afterwards(row.fill, NOTHING, rules, from_sg=predicted_sg(row.fill))
        transaction.set_rollback(True)
    return Tried(row=row, after=replace(after, from_sg=before))
