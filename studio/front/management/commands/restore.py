"""Load a backup into an empty studio, and prove that all of it arrived."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from studio.errors import Refused
from studio.front import backups, own_studio


class Command(BaseCommand):
    help = "Loads a backup into an empty studio and proves rows, sums and hashes."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the file that backup made")

    def handle(self, *, file: Path, **options: Any) -> None:
        try:
            backups.check_whole(file.absolute())
            if settings.STUDIO_IS_DEMO:
                self.stdout.write("The demo studio is set aside; this is your own from now on.")
                self.stdout.flush()
                own_studio.begin()
            call_command("migrate", verbosity=0)
            manifest = backups.restore(file.absolute())
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(f"Restored {backups.said(manifest)}, made {manifest['made_at']}.")
        self.stdout.write("Proved: every row, every sum and every file is what was saved.")
