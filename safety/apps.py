from django.apps import AppConfig


class SafetyConfig(AppConfig):
    name = "safety"

    def ready(self) -> None:
        from safety.operations.classifying import law_changed, version_in_force
        from studio.recipes.operations import versions
        from studio.room.operations import details

        versions.ONCE_IN_FORCE.append(version_in_force)
        details.ONCE_CHANGED.append(law_changed)
