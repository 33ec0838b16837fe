"""The settings of the app with what tests need: a data folder of their own, quick hashes, plain statics."""

import atexit
import os
import shutil
import tempfile

_folder = tempfile.mkdtemp(prefix="stirbook-tests-")
atexit.register(shutil.rmtree, _folder, ignore_errors=True)
os.environ["STIRBOOK_DATA"] = _folder
os.environ.setdefault("STIRBOOK_URL", "http://127.0.0.1:8000")
# Playwright keeps an event loop running in the test's thread, where Django refuses its database by default.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

from studio.settings import *  # noqa: E402, F403
from studio.settings import DATABASES, STATIC_ROOT, STORAGES  # noqa: E402

STUDIO_IS_DEMO = True
STATIC_ROOT.mkdir(exist_ok=True)
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
AXES_ENABLED = False  # the tests of the log-in throttle switch it on

# A test database need not outlive a power cut.
_options = DATABASES["default"].get("OPTIONS", {})
if "init_command" in _options:
    _options["init_command"] = _options["init_command"].replace("synchronous=FULL", "synchronous=OFF")
