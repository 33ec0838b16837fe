from django.apps import AppConfig


class RoomConfig(AppConfig):
    name = "studio.room"

    def ready(self) -> None:
        from studio.people import rights
        from studio.people.models import Member
        from studio.room.models import Glass, Scale, Vessel
        from studio.room.steps import Step, add_step

        add_step(
            Step(
                name="People",
                why="Whoever weighs, measures and releases is named beside it. Invite at least one more: "
                "a recipe is approved by a second person.",
                url="people",
                act="Invite people",
                right=rights.PEOPLE,
                rows=lambda: Member.objects.filter(is_active=True),
                enough=2,
            )
        )
        add_step(
            Step(
                name="Vessels",
                why="With a bucket's inner sizes a dip stick tells litres, and no batch overflows it.",
                url="add-vessel",
                act="Add a vessel",
                right=rights.ROOM,
                rows=lambda: Vessel.objects.filter(state=Vessel.State.IN_SERVICE),
            )
        )
        add_step(
            Step(
                name="Scales",
                why="Every line of a batch is rounded to the step of the scale it is weighed on.",
                url="add-scale",
                act="Add a scale",
                right=rights.ROOM,
                rows=lambda: Scale.objects.filter(retired_at=None),
            )
        )
        add_step(
            Step(
                name="Flasks and cylinders",
                why="Specific gravity is a known volume, weighed. Its tolerance says how far to trust it.",
                url="add-glass",
                act="Add a flask or cylinder",
                right=rights.ROOM,
                rows=lambda: Glass.objects.filter(retired_at=None),
            )
        )
