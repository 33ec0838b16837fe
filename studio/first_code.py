"""The code that lets one person become the first manager of an empty studio.

It stands in the data folder and in the lines `serve` prints, so only whoever runs the machine has it;
a stranger who finds the page first cannot claim the studio.
"""

import os
import secrets
from pathlib import Path

from django.conf import settings


def _path() -> Path:
    return Path(settings.FOLDER) / "first_code"


def code() -> str:
    """The code in force, made when there is none; only its owner can read the file."""
    try:
        with open(os.open(_path(), os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as new:
            new.write(secrets.token_urlsafe(24))
    except FileExistsError:
        pass
    return _path().read_text().strip()


def matches(typed: str) -> bool:
    """Whether this is the code in force; without one nothing matches."""
    try:
        kept = _path().read_text().strip()
    except FileNotFoundError:
        return False
    return bool(kept) and secrets.compare_digest(kept.encode(), typed.strip().encode())


def spend() -> None:
    """The studio has its first manager: the code opens nothing any more."""
    _path().unlink(missing_ok=True)
