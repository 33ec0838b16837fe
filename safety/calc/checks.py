"""When a safety check is due again."""

from dataclasses import dataclass
from datetime import date, timedelta

from studio.calc.days import said_day


@dataclass(frozen=True, kw_only=True)
class Standing:
    """``word``: "in order", "due", "never", "not in order"; ``due_on``: the day it is due, None for never.

    What was found not in order is due from that day on.
    """

    word: str
    sentence: str
    due_on: date | None

    @property
    def waits(self) -> bool:
        """Whether somebody has to see to it now."""
        return self.word != "in order"


def standing(*, last: date | None, good: bool, days: int, today: date) -> Standing:
    """How a check stands today that is done every ``days`` days (1 or more) and was done on ``last``.

    Done every day it is due on the next day, all day. One that was found not in order stands so until it
    is found in order. ValueError for days under 1. The days are the studio's own rule, no law's.
    """
    if days < 1:
        raise ValueError("a check is done every day or more seldom")
    if last is None:
        return Standing(word="never", sentence="No check is on record.", due_on=None)
    if not good:
        said = f"Found not in order {_ago((today - last).days)}."
        return Standing(word="not in order", sentence=said, due_on=last)
    due_on = last + timedelta(days=days)
    late = (today - due_on).days
    if late < 0:
        said = f"Done {_ago((today - last).days)}; next on {said_day(due_on)}."
        return Standing(word="in order", sentence=said, due_on=due_on)
    since = "today" if late == 0 else f"for {_days(late)}"
    return Standing(word="due", sentence=f"Done {_ago((today - last).days)}; due {since}.", due_on=due_on)


def _ago(days: int) -> str:
    return {0: "today", 1: "yesterday"}.get(days, f"{_days(days)} ago")


def _days(days: int) -> str:
    return f"{days} day{'' if days == 1 else 's'}"
