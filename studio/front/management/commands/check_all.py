"""The second command: every check and every test, on both databases."""

import os
import subprocess
import sys
import time
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from studio import system
from studio.front.checking import report, run_all


class Command(BaseCommand):
    help = "Runs every check and all tests on SQLite and PostgreSQL, installing what they need."
    requires_system_checks: list[str] = []

    def handle(self, **options: Any) -> None:
        install_missing()
        began = time.monotonic()
        outcomes = run_all()
        print("\n".join(report(outcomes, time.monotonic() - began)), flush=True)
        if not all(outcome.passed for outcome in outcomes):
            sys.exit(1)


def install_missing() -> None:
    """As root install the system packages the tests need; else say the line that does."""
    lacking = system.missing(system.FOR_TESTS)
    if not lacking:
        return
    if os.geteuid() != 0:
        raise CommandError(f"The tests need packages of the system. Install them once with:\n"
                           f"  sudo {system.install_line(lacking)}")  # fmt: skip
    print(f"Installing {', '.join(lacking)} …", flush=True)
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    install = ["apt-get", "install", "-y", "-q", "--no-install-recommends", *lacking]
    for command in (["apt-get", "update", "-q"], install):
        done = subprocess.run(command, env=quiet, capture_output=True, text=True)
        if done.returncode:
            raise CommandError(f"{' '.join(command)} failed:\n{done.stdout}{done.stderr}")
    if still := system.missing(system.FOR_TESTS):
        raise CommandError(f"Installed, but still not found: {', '.join(still)}")
