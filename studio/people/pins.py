"""PINs as they are typed and as they are kept: four to six digits, never shown, kept as a digest alone."""

import unicodedata
from datetime import date
from itertools import pairwise

from django.contrib.auth.hashers import check_password, make_password
from django.utils.crypto import constant_time_compare, salted_hmac
from django.views.decorators.debug import sensitive_variables

from studio.errors import Refused
from studio.people.models import Member

FEWEST, MOST = 4, 6
SHAPE = f"A PIN is {FEWEST} to {MOST} digits."
EASY = "Choose another one: this is among the first that anybody tries."
A_DAY = "Choose another one: this reads as a year or a day, and birthdays are tried first."
# Common practice, no source: ways along the keys that no other rule here finds.
OFTEN_CHOSEN = {"2580", "0852", "1379", "1397", "1470", "1590", "3690", "147258", "159753", "142536"}


@sensitive_variables()
def digits_of(typed: str) -> str:
    """The digits somebody typed, gaps left out, digits of any script read as such.

    Raises Refused for anything else: such an entry can be nobody's PIN and counts as no try.
    """
    signs = [sign for sign in typed[:40] if not sign.isspace()]
    if not (all(sign.isdecimal() for sign in signs) and FEWEST <= len(signs) <= MOST):
        raise Refused(SHAPE, field="pin")
    return "".join(str(unicodedata.decimal(sign)) for sign in signs)


@sensitive_variables()
def refuse_easy(pin: str) -> None:
    """Raise Refused for digits that are guessed first. Others' PINs are not looked at: it would tell them."""
    steps = {(int(after) - int(before)) % 10 for before, after in pairwise(pin)}
    repeats = any(pin == pin[:size] * (len(pin) // size) for size in (1, 2, 3) if len(pin) % size == 0)
    mirrored = pin == pin[::-1]
    if len(steps) == 1 or repeats or mirrored or pin in OFTEN_CHOSEN:
        raise Refused(EASY, field="pin")
    if _reads_as_a_day(pin):
        raise Refused(A_DAY, field="pin")


@sensitive_variables()
def _reads_as_a_day(pin: str) -> bool:
    two = [int(pin[place : place + 2]) for place in range(0, len(pin) - 1, 2)]
    if len(pin) == 4:
        return two[0] in (19, 20) or _is_day(*two) or _is_day(*reversed(two))
    if len(pin) == 6:
        first, middle, last = two
        return _is_day(first, middle) or _is_day(middle, first) or _is_day(last, middle)
    return False


def _is_day(day: int, month: int) -> bool:
    try:
        date(2000, month, day)  # a leap year
    except ValueError:
        return False
    return True


@sensitive_variables()
def kept(pin: str) -> str:
    """What is kept of a PIN: a salted digest, made as those of passwords."""
    return make_password(pin)


@sensitive_variables()
def fits(pin: str, member: Member | None) -> bool:
    """Whether this is that person's PIN. It takes as long when they have none, or there is no such person."""
    if member is None or not member.pin:
        make_password(pin)
        return False
    return check_password(pin, member.pin)


def stamp(member: Member) -> str:
    """A mark of the PIN in force: what was opened by one that is changed or removed since, is closed."""
    return salted_hmac("studio.people.pins", member.pin, algorithm="sha256").hexdigest()


def same_stamp(member: Member, mark: str) -> bool:
    return bool(member.pin) and constant_time_compare(stamp(member), mark)
