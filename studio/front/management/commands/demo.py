"""The demo studio: laid out in an empty database, or renewed so that its last day is today."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction
from django.utils import timezone

from studio.front import demo
from studio.people.models import Member


class Command(BaseCommand):
    help = "Lays out the demo studio; with --renew, from the beginning and with today as its last day."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--renew", action="store_true", help="throw the demo studio away and lay it anew")

    def handle(self, *, renew: bool, verbosity: int, **options: Any) -> None:
        if not settings.STUDIO_IS_DEMO:
            raise CommandError("This is your own studio. The demo studio is never laid out in it.")
        if Member.objects.exists() and not renew:
            if verbosity:
                self.stdout.write(
                    "The demo studio is there already. Lay it anew, ending today, with --renew."
                )
            return
        with transaction.atomic():
            if renew:
                demo.clear()
            demo.lay(timezone.now())
        if verbosity:
            self.stdout.write(
                f"The demo studio ends today. Its people sign in with “{settings.DEMO_PASSWORD}”."
            )
