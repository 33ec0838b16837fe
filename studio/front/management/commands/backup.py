"""Save the studio in one file, while it is in use."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from studio.errors import Refused
from studio.front import backups


class Command(BaseCommand):
    help = "Saves database and attachments in one new file, while the studio is in use."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the file to make, like glaze-room.zip")

    def handle(self, *, file: Path, **options: Any) -> None:
        try:
            manifest = backups.back_up(file.absolute())
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        self.stdout.write(f"Saved {backups.said(manifest)} in {file} ({file.stat().st_size / 1e6:.1f} MB).")
        self.stdout.write("It holds names and password hashes: keep it where only you can read it.")
