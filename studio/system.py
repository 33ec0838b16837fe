"""What the machine must have beside Python, how to see whether it is there, and the line that installs it."""

import shutil
from collections.abc import Callable, Iterable
from ctypes.util import find_library
from pathlib import Path


def chromium() -> str | None:
    """The browser the tests drive; Debian and others name it differently."""
    return shutil.which("chromium") or shutil.which("chromium-browser")


def postgres_programs() -> Path | None:
    """The folder with initdb and pg_ctl of the newest PostgreSQL; Debian keeps it off the path."""
    installed = Path("/usr/lib/postgresql").glob("*/bin/initdb")
    newest = max(installed, key=lambda path: float(path.parent.parent.name), default=None)
    found = newest or ((path := shutil.which("initdb")) and Path(path))
    return found.parent if found else None


def library(name: str) -> Callable[[], bool]:
    return lambda: find_library(name) is not None


Packages = dict[str, Callable[[], object]]  # a Debian package: how to see that what it brings is there

FOR_PDF: Packages = {
    "libpango-1.0-0": library("pango-1.0"),
    "libpangoft2-1.0-0": library("pangoft2-1.0"),
    "libharfbuzz-subset0": library("harfbuzz-subset"),
}
FOR_TESTS: Packages = {
    **FOR_PDF,
    "fonts-dejavu-core": lambda: Path("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf").exists(),
    "chromium": chromium,
    "libatomic1": library("atomic"),  # the browser's driver is built against it
    "postgresql": postgres_programs,
}


def missing(packages: Packages) -> list[str]:
    return [package for package, there in packages.items() if not there()]


def install_line(packages: Iterable[str]) -> str:
    return f"apt-get install {' '.join(packages)}"
