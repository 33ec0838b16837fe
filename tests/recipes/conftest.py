"""What the tests of recipes share: a store, and Bram signed in."""

import pytest

from tests.recipes.samples import store


@pytest.fixture
def bram(client, technician):
    store()
    client.force_login(technician)
    return technician
