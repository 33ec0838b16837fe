"""Whether a safety data sheet is current, due for a look, or counts as missing. The studio's rules [P]."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from studio.calc.days import said_day

State = Literal["current", "due", "missing"]


@dataclass(frozen=True, kw_only=True)
class SheetState:
    """``word`` and why, as a sentence for a person."""

    word: State
    sentence: str


def years_after(day: date, years: int) -> date:
    """The same day so many years on; 29 February becomes 28 February."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)


def months_after(day: date, months: int) -> date:
    """The same day so many months on; a day that month does not have becomes its last."""
    year, month = divmod(12 * day.year + day.month - 1 + months, 12)
    for last in (day.day, 30, 29):
        try:
            return date(year, month + 1, last)
        except ValueError:
            continue
    return date(year, month + 1, 28)


def sheet_state(
    *,
    kind: str | None,
    issued_on: date | None,
    revised_on: date | None,
    today: date,
    review_on: date | None = None,
    covers_all_lots: bool = True,
    current_years: int = 3,
    missing_years: int = 5,
    changed: tuple[State, str, date] | None = None,
) -> SheetState:
    """The state of the standing sheet of a material. ``kind`` None: there is none at all.

    Current until ``current_years`` after its last date and while it covers every lot here; due from then on,
    or from ``review_on``; missing after ``missing_years``, without any date, or where no sheet was filed.
    ``changed``: what the law changed since the sheet: how it counts for that, what, since when.
    """
    if kind is None:
        return SheetState(word="missing", sentence="No safety data sheet is on file.")
    if kind == "table":
        return SheetState(word="missing", sentence="No sheet is on file: its composition is from our table.")
    dated = max((day for day in (issued_on, revised_on) if day), default=None)
    if dated is None:
        return SheetState(
            word="missing", sentence="The sheet bears no date, so nobody can say how old it is."
        )
    if today >= years_after(dated, missing_years):
        said = f"The sheet of {said_day(dated)} is {missing_years} years old or more and counts as missing."
        return SheetState(word="missing", sentence=said)
    if changed is not None and changed[0] == "missing":
        return SheetState(word="missing", sentence=_older_than_law(dated, changed))
    if review_on is not None and today >= review_on:
        return SheetState(word="due", sentence=f"It was to be looked at again by {said_day(review_on)}.")
    if today >= years_after(dated, current_years):
        said = f"The sheet of {said_day(dated)} is {current_years} years old or more: ask for a newer one."
        return SheetState(word="due", sentence=said)
    if changed is not None:
        return SheetState(word="due", sentence=_older_than_law(dated, changed))
    if not covers_all_lots:
        return SheetState(word="due", sentence="A lot that is here is not named as covered by it.")
    until = years_after(dated, current_years)
    until = min(until, review_on) if review_on else until
    return SheetState(
        word="current", sentence=f"Sheet of {said_day(dated)}, current until {said_day(until)}."
    )


def _older_than_law(dated: date, changed: tuple[State, str, date]) -> str:
    _, words, since = changed
    return f"The sheet of {said_day(dated)} is older than the law: since {said_day(since)} {words}."
