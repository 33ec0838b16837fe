"""The parts of check_all: each a command whose success is its own, timed and reported."""

import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass

from django.conf import settings

from studio.front.postgres import private_server

# HSTS, redirect to https, and the two secure cookies: what plain http costs, and nothing else.
COST_OF_PLAIN_HTTP = {"security.W004", "security.W008", "security.W012", "security.W016"}
HTTPS = "https://glaze.example.org"
HTTP = "http://glaze.example.org"


@dataclass
class Outcome:
    name: str
    passed: bool
    seconds: float
    last_line: str


Say = Callable[[str], None]


def aloud(line: str) -> None:
    print(line, end="", flush=True)


@dataclass
class Check:
    name: str
    work: Callable[[Say], tuple[bool, str]]  # passed, and the last line printed

    def outcome(self, say: Say = aloud) -> Outcome:
        say(f"\n--- {self.name}\n")
        began = time.monotonic()
        passed, last_line = self.work(say)
        return Outcome(self.name, passed, time.monotonic() - began, last_line)


def run_all() -> list[Outcome]:
    """Every check in order; the tests on PostgreSQL run beside those on SQLite, and are told after them."""
    outcomes = [check.outcome() for check in CHECKS]
    told: list[str] = []
    with ThreadPoolExecutor() as beside:
        on_postgres = beside.submit(TESTS_ON_POSTGRES.outcome, told.append)
        outcomes.append(TESTS_ON_SQLITE.outcome())
        outcomes.append(on_postgres.result())
    aloud("".join(told))
    return outcomes


@contextmanager
def environment(**extra: str) -> Iterator[dict[str, str]]:
    """The surroundings of a check: no setting of this machine's own studio, a scratch data folder."""
    ours = re.compile(r"STIRBOOK_(?!NO_VENV)|DJANGO_|DATABASE_URL$")
    with tempfile.TemporaryDirectory(prefix="stirbook-check-") as folder:
        kept = {k: v for k, v in os.environ.items() if not ours.match(k)}
        yield {**kept, "STIRBOOK_DATA": folder, **extra}


def printed(say: Say, *command: str, **extra: str) -> tuple[bool, str]:
    """Run a command, letting its output through as it comes."""
    last = ""
    with environment(**extra) as env:
        running = subprocess.Popen(
            [sys.executable, *command],
            cwd=settings.ROOT,
            env=env,
            text=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        for line in running.stdout or ():
            say(line)
            last = line.strip() or last
        return running.wait() == 0, last


def words_of_deploy(url: str) -> str:
    """What `check --deploy` says of a studio at this address."""
    with environment(STIRBOOK_URL=url) as env:
        done = subprocess.run(
            [sys.executable, "manage.py", "check", "--deploy"],
            cwd=settings.ROOT,
            env=env,
            text=True,
            capture_output=True,
        )
    return done.stdout + done.stderr


def warnings_of_deploy(words: str) -> set[str]:
    """Every id in what `check --deploy` said; it must have come to an end."""
    if "System check identified" not in words:
        raise RuntimeError(f"check --deploy did not run: {words}")
    return set(re.findall(r"\(([a-z_]+\.[EWIC]\d+)\)", words))


def deploy(say: Say, url: str, expected: set[str]) -> tuple[bool, str]:
    words = words_of_deploy(url)
    found = warnings_of_deploy(words)
    line = f"{url}: {', '.join(sorted(found)) or 'nothing to warn of'}"
    if found != expected:
        say(f"{words}\n")
        line += f"; expected {', '.join(sorted(expected)) or 'nothing'}"
    say(f"{line}\n")
    return found == expected, line


def typed_folders() -> list[str]:
    """Every calc and operations folder or file of the apps."""
    found = [
        path
        for name in ("calc", "operations", "operations.py")
        for top in ("studio", "safety", "batches", "buckets")
        for path in (settings.ROOT / top).rglob(name)
    ]
    return sorted(str(path.relative_to(settings.ROOT)) for path in found)


def tests(say: Say, which: str, **extra: str) -> tuple[bool, str]:
    return printed(say, "-m", "pytest", "-q", "-m", which, **extra)


def tests_on_postgres(say: Say) -> tuple[bool, str]:
    with private_server() as address:
        return tests(say, "not bench and (not browser or story)", DATABASE_URL=address)


MISSING_MIGRATIONS = ("manage.py", "makemigrations", "--check", "--dry-run")
CHECKS = [
    Check("ruff check", lambda say: printed(say, "-m", "ruff", "check", ".")),
    Check("ruff format --check", lambda say: printed(say, "-m", "ruff", "format", "--check", ".")),
    Check("makemigrations --check", lambda say: printed(say, *MISSING_MIGRATIONS)),
    Check("mypy calc and operations", lambda say: printed(say, "-m", "mypy", *typed_folders())),
    Check("check --deploy, https", lambda say: deploy(say, HTTPS, set())),
    Check("check --deploy, http", lambda say: deploy(say, HTTP, COST_OF_PLAIN_HTTP)),
]
TESTS_ON_SQLITE = Check("tests on SQLite, browser included", lambda say: tests(say, "not bench"))
TESTS_ON_POSTGRES = Check("tests on PostgreSQL", tests_on_postgres)


def report(outcomes: list[Outcome], whole: float) -> list[str]:
    """A line for each part, then pytest's own last words once more."""
    rows = [f"{'passed' if o.passed else 'FAILED'}  {o.seconds:6.1f} s  {o.name}" for o in outcomes]
    words = [f"{o.name}: {o.last_line}" for o in outcomes if o.name.startswith("tests")]
    return ["", *rows, f"        {whole:6.1f} s  in all", *words]
