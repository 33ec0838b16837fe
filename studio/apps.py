from django.apps import AppConfig
from django.db.models.signals import post_migrate


class StudioConfig(AppConfig):
    name = "studio"

    def ready(self) -> None:
        # Table rebuilds on SQLite drop triggers silently, so they are laid after every migrate.
        from studio import triggers

        post_migrate.connect(triggers.lay_after_migrate, dispatch_uid="studio.triggers")
