"""What every test shares: the browser's flags, and history that only the harness may sweep away."""

import hypothesis
import pytest
from django.test import Client, TransactionTestCase

from studio import system, triggers
from tests import books, factories
from tests.chromium import CHROMIUM_FLAGS

hypothesis.settings.register_profile("house", deadline=None, derandomize=True, database=None)
hypothesis.settings.load_profile("house")

_sweep = TransactionTestCase._fixture_teardown


def _sweep_with_triggers_lifted(case: TransactionTestCase) -> None:
    with triggers.lifted():
        _sweep(case)


# Tests with threads or a browser commit for real; their rows are flushed after each, history too.
TransactionTestCase._fixture_teardown = _sweep_with_triggers_lifted


def pytest_addoption(parser):
    parser.addoption("--keep-pictures", action="store_true", help="renew the pictures in tests/pictures")


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    return {
        **browser_type_launch_args,
        "executable_path": system.chromium(),
        "args": CHROMIUM_FLAGS,
        "headless": True,
    }


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args):
    """The room's tablet, upright and touched; a test asks for other sizes itself."""
    return {**browser_context_args, "viewport": {"width": 820, "height": 1180}, "has_touch": True}


# People by right: Ilse (member), Yusuf (helper, signed off for weighing and wet mixing), Bram, Odile.


@pytest.fixture
def member(db):
    return factories.person("Ilse", "member", signed_off=("dipping", "SG"))


@pytest.fixture
def helper(db):
    return factories.person("Yusuf", "helper", signed_off=("weighing", "wet mixing", "SG"))


@pytest.fixture
def technician(db):
    return factories.person("Bram", "technician")


@pytest.fixture
def manager(db):
    return factories.person("Odile", "manager")


@pytest.fixture
def client_factory():
    """More browsers beside ``client``."""
    return Client


# --- the books agree after every test that wrote --------------------------------------------------------


@pytest.hookimpl(wrapper=True)
def pytest_pyfunc_call(pyfuncitem):
    """A test that leaves books which do not agree has failed, whatever it looked at itself."""
    result = yield
    opened = {"db", "transactional_db", "live_server"} & set(pyfuncitem.fixturenames)
    if opened or pyfuncitem.get_closest_marker("django_db"):
        books.refuse_ill_kept()
    return result
