"""Whether the books agree; every row that does not is named."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from studio.front import proof

MOST_SHOWN = 200


class Command(BaseCommand):
    help = "Checks that every balance, promise, label and line of descent agrees with the history under it."

    def handle(self, **options: Any) -> None:
        found = proof.problems()
        for problem in found[:MOST_SHOWN]:
            self.stdout.write(str(problem))
        if len(found) > MOST_SHOWN:
            self.stdout.write(f"… and {len(found) - MOST_SHOWN} more")
        if found:
            raise CommandError(f"{len(found)} rows do not agree with the rest.")
        self.stdout.write("Every balance, promise, label and line of descent agrees with its history.")
