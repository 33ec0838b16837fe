from typing import Any

from django.apps import AppConfig
from django.db import transaction
from django.db.models.signals import post_migrate


def other_edition(using: str = "default", **_: Any) -> None:
    """After an upgrade that works the rules out more exactly, what is on file is worked out anew."""
    from safety.operations.classifying import worked_out_anew

    with transaction.atomic(using):
        worked_out_anew()


class SafetyConfig(AppConfig):
    name = "safety"

    def ready(self) -> None:
        from safety.operations.classifying import law_changed, version_in_force
        from studio.recipes.operations import versions
        from studio.room.operations import details

        versions.ONCE_IN_FORCE.append(version_in_force)
        details.ONCE_CHANGED.append(law_changed)
        post_migrate.connect(other_edition, sender=self, dispatch_uid="safety.edition")
