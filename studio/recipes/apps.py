from django.apps import AppConfig


class RecipesConfig(AppConfig):
    name = "studio.recipes"

    def ready(self) -> None:
        from studio.people import rights
        from studio.recipes.models import Recipe
        from studio.room.steps import Step, add_step

        add_step(
            Step(
                name="Recipes",
                why="Typed as they stand in your notebook: parts or percent, additions on top.",
                url="add-recipe",
                act="Type in a recipe",
                right=rights.RECIPES,
                rows=Recipe.objects.all,
            )
        )
