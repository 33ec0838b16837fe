from django.apps import AppConfig


class MaterialsConfig(AppConfig):
    name = "studio.materials"

    def ready(self) -> None:
        from studio.materials.models import Material
        from studio.people import rights
        from studio.room.steps import Step, add_step

        add_step(
            Step(
                name="Materials",
                why="With their densities and what is there of them, a recipe becomes weights and a cost.",
                url="add-materials",
                act="Add materials",
                right=rights.STORE,
                rows=lambda: Material.objects.filter(state=Material.State.CURRENT),
            )
        )
