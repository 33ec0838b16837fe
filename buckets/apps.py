from django.apps import AppConfig


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
