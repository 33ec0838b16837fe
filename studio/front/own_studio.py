"""Leaving the demo: the real studio's folder, once made, is the one every command uses."""

import os
import sys

from django.conf import settings


def begin() -> None:
    """Make the folder of the real studio and start this command anew, now on that; the demo stays aside."""
    (settings.DATA / "studio").mkdir(mode=0o700)
    os.execv(sys.executable, [sys.executable, *sys.argv])
