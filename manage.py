#!/usr/bin/env python3
"""Stirbook's commands. `serve` and `check_all` need nothing but Python: they make .venv themselves."""

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
VENV_PYTHON = VENV / "bin" / "python"
STAMP = VENV / "installed.sha256"
LOCKS = {"serve": "run.lock", "check_all": "test.lock"}


def sha256_of(lock: str) -> str:
    return hashlib.sha256((ROOT / "studio" / "requirements" / lock).read_bytes()).hexdigest()


def make_venv(lock: str) -> None:
    """Bring .venv to the pinned packages of one lock; costs nothing when they are there already.

    test.lock holds everything of run.lock, so an environment made for the tests serves too.
    """
    stamp = STAMP.read_text().strip() if STAMP.exists() else ""
    if stamp in {sha256_of(lock), sha256_of("test.lock")}:
        return
    if not VENV_PYTHON.exists():
        print("Making .venv …", flush=True)
        if subprocess.run([sys.executable, "-m", "venv", str(VENV)], stdout=subprocess.DEVNULL).returncode:
            shutil.rmtree(VENV, ignore_errors=True)
            sys.exit("Python cannot make an environment here. On Debian: apt-get install python3-venv")
    print(f"Installing the pinned packages of studio/requirements/{lock} …", flush=True)
    pip = [str(VENV_PYTHON), "-m", "pip", "install", "-q", "--disable-pip-version-check"]
    pins = ["--require-hashes", "--only-binary", ":all:", "-r", str(ROOT / "studio/requirements" / lock)]
    if subprocess.run(pip + pins).returncode:
        sys.exit("The packages could not be installed: pip's reason stands above. Run the command again.")
    STAMP.write_text(sha256_of(lock))


def enter_venv(command: str) -> None:
    """Go on in .venv's Python, unless told to use the running one or already there."""
    if os.environ.get("STIRBOOK_NO_VENV") == "1":
        return
    if command in LOCKS:
        make_venv(LOCKS[command])
    if VENV_PYTHON.exists() and Path(sys.prefix).resolve() != VENV.resolve():
        os.execv(VENV_PYTHON, [str(VENV_PYTHON), *sys.argv])


def main() -> None:
    if sys.version_info < (3, 11):  # noqa: UP036 (this file is met by any Python)
        sys.exit(f"Stirbook needs Python 3.11 or newer; this is {sys.version.split()[0]}.")
    enter_venv(sys.argv[1] if len(sys.argv) > 1 else "")
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        sys.exit("The packages are not installed yet: run  python3 manage.py serve  once.")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
