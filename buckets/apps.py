from typing import Any

from django.apps import AppConfig
from django.db import transaction
from django.db.models.signals import post_migrate


def tell_intervals(using: str = "default", **_: Any) -> None:
    """A studio from before intervals were kept has readings and none of them: they are worked out once."""
    from buckets.models import Interval, Reading
    from buckets.operations.intervals import write_all

    if Reading.objects.using(using).exists() and not Interval.objects.using(using).exists():
        with transaction.atomic(using):
            write_all()


class BucketsConfig(AppConfig):
    name = "buckets"

    def ready(self) -> None:
        from buckets.models import Fill
        from buckets.operations.away import refuse_full
        from studio.people import rights
        from studio.room.operations import vessels
        from studio.room.steps import Step, add_step

        add_step(
            Step(
                name="Buckets on the shelf",
                why="What stands there already is taken over with its litres and its specific gravity; "
                "its history is marked unknown.",
                url="take-over-bucket",
                act="Take over a bucket",
                right=rights.MAKE,
                rows=lambda: Fill.objects.filter(emptied_at=None),
            )
        )
        vessels.BEFORE_AWAY.append(refuse_full)
        post_migrate.connect(tell_intervals, sender=self, dispatch_uid="buckets.intervals")
