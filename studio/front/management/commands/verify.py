"""Run check-value files through the app's own calculations."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from studio.front import check_values
from studio.front.checks import CHECKS


class Command(BaseCommand):
    help = "Runs check-value files through the app's own calculations; exit 1 if any value disagrees."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("files", nargs="+", type=Path, metavar="FILE")
        parser.add_argument("--section", default="", help="only these sections, like a,b")

    def handle(self, *, files: list[Path], section: str, **options: Any) -> None:
        sections = {name.strip() for name in section.split(",") if name.strip()}
        counts = {"passed": 0, "failed": 0, "unknown fn": 0}
        for file in files:
            for case in self._cases(file, sections):
                outcome = check_values.run_case(case, table=CHECKS)
                counts[outcome.word] += 1
                for problem in outcome.problems:
                    self.stdout.write(f"{file.name} {case['id']}: {problem}")
        if counts["unknown fn"]:
            self.stdout.write(f"{counts['unknown fn']} with an unknown fn, not run")
        self.stdout.write(f"{counts['passed']} passed, {counts['failed']} failed")
        if counts["failed"] or counts["unknown fn"]:
            raise SystemExit(1)

    def _cases(self, file: Path, sections: set[str]) -> list[dict[str, Any]]:
        try:
            cases = check_values.read_cases(file)
        except check_values.BadFile as error:
            raise CommandError(str(error)) from error
        chosen = [case for case in cases if not sections or case.get("section") in sections]
        if not chosen:
            wanted = ", ".join(sorted(sections)) or "any"
            raise CommandError(f"{file} has no case in section {wanted}, so there is nothing to check.")
        return chosen
