"""The settings of the app, with the bench's own addresses beside its own."""

from studio.settings import *  # noqa: F403

ROOT_URLCONF = "tests.benches.urls"
