"""A large invented studio in a scratch database, for measuring."""

import time
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from studio import words
from studio.front import history
from studio.front.history.beginning import PREFIX
from studio.people.models import Member


class Command(BaseCommand):
    help = "Fills an empty scratch database with a large studio: 64 buckets, 120 recipes, years of history."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "years", type=float, help="how many; ten are a million lines of ledger, 200 000 readings"
        )
        parser.add_argument("--scale", type=float, default=1, help="times as many rows a year (default 1)")

    def handle(self, *, years: float, scale: float, verbosity: int, **options: Any) -> None:
        if not (0 < years <= 40 and 0 < scale <= 10):
            raise CommandError("Years lie above 0 and up to 40, the scale above 0 and up to 10.")
        if Member.objects.exclude(username__startswith=PREFIX).exists():
            raise CommandError(
                "There are people in this database. History is written into an empty one only."
            )
        if Member.objects.exists():
            raise CommandError("This database holds such a history already. Take an empty one.")
        began = time.monotonic()
        rows = history.fill(timezone.now(), years, scale)
        if verbosity:
            for name, count in rows.items():
                self.stdout.write(f"{words.number(count):>12}  {name}")
            self.stdout.write(f"Written in {time.monotonic() - began:.0f} s.")
