"""Two tablets guess at one name at once: they have five tries between them, on SQLite and on PostgreSQL.

These tests commit for real and run in threads, each with its own connection.
"""

import pytest

from studio.errors import Refused
from studio.people.models import Member, Notice
from studio.people.operations import pins as operations
from studio.people.operations.pins import MOST_MISSES, try_pin
from tests.factories import person, with_pin
from tests.people.test_acts import at_once

pytestmark = pytest.mark.django_db(transaction=True)
GUESSERS = 8


@pytest.fixture
def ngozi(transactional_db):
    return with_pin(person("Ngozi"))


def guess(member: Member, typed: str) -> str:
    try:
        return f"opened for {try_pin(number=member.pk, pin=typed)}"
    except Refused as refusal:
        return "wrong" if refusal.sentence == operations.WRONG else "closed"


def test_eight_guessers_at_once_have_five_tries_between_them(ngozi, monkeypatch):
    looked_at = []
    compare = operations.pins.fits
    monkeypatch.setattr(
        operations.pins, "fits", lambda pin, member: looked_at.append(pin) or compare(pin, member)
    )

    def five(number: int):
        return lambda: [guess(ngozi, f"40{number}{turn}") for turn in range(5)]

    answers = [word for words in at_once(*map(five, range(GUESSERS))) for word in words]
    assert len(looked_at) == MOST_MISSES
    assert (answers.count("wrong"), answers.count("closed")) == (4, 36)
    ngozi.refresh_from_db()
    assert ngozi.pin_misses == MOST_MISSES
    assert Notice.objects.count() == 1


def test_of_two_right_ones_at_once_both_open(ngozi):
    for _ in range(10):
        answers = at_once(*[lambda: guess(ngozi, "7308")] * 2)
        assert answers == ["opened for Ngozi"] * 2
    ngozi.refresh_from_db()
    assert (ngozi.pin_misses, ngozi.pin_closed_until) == (0, None)


def test_wrong_tries_at_two_tablets_add_up(ngozi):
    for turn in range(2):
        assert at_once(*[lambda t=turn: guess(ngozi, f"409{t}")] * 2) == ["wrong"] * 2
    assert [guess(ngozi, "4098"), guess(ngozi, "7308")] == ["closed", "closed"]
