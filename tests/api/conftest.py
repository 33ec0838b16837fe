import pytest
from django.core.cache import cache

from studio.people.api_auth import PaceOfToken


@pytest.fixture(autouse=True)
def no_pace(monkeypatch):
    """Tests ask faster than any program may; the test of the pace sets its own."""
    cache.clear()
    monkeypatch.setattr(PaceOfToken, "rate", "1000000/min")
