from django.apps import AppConfig


class SafetyConfig(AppConfig):
    name = "safety"

    def ready(self) -> None:
        from safety.operations.classifying import version_in_force
        from studio.recipes.operations import versions

        versions.ONCE_IN_FORCE.append(version_in_force)
