"""A recipe as it stands in a notebook: one line each, a name and an amount in either order.

"Soda feldspar 22", "22 % Soda feldspar", "Silica 1 113,5 g", "+ Tin oxide: 3", cells from a sheet parted
by tabs. A name may hold numbers of its own, so a line can have several readings; which one is meant is
settled by who knows the names. Rules: common practice, no source.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from studio.calc.typed import INVISIBLE, TOO_LONG, Ambiguous, TypedProblem, parse_decimal, typed_back
from studio.calc.units import to_grams

MOST_LINE, MOST_NAME, MOST_TYPED, MOST_PLACES = 200, 80, 40, 4
MOST_PARTS = Decimal(1_000_000)  # a tonne in grams: more is a slip of the finger

UNITS = {
    "%": "%", "percent": "%", "part": "parts", "parts": "parts",
    "g": "g", "gr": "g", "gram": "g", "grams": "g", "kg": "kg", "oz": "oz", "lb": "lb", "lbs": "lb",
}  # fmt: skip
VOLUME = re.compile(
    "cups?|tbsp|tbs|tsp|(tea|table)?spoons?|scoops?|pinch|handful|[mcd]?l|lit(re|er)s?|pints?|quarts?|gal(lons?)?|floz"
)
TOTALS = frozenset({"total", "totals", "sum", "subtotal", "base total", "total base", "in all"})

NO_AMOUNT = "There is no amount on this line. Type a name and a number, like Silica 22."
NO_NAME = "There is an amount on this line but no material. Type a name beside it, like Silica 22."
LINE_TOO_LONG = f"This line is too long: at most {MOST_LINE} letters."
NAME_TOO_LONG = f"This name is too long: at most {MOST_NAME} letters."
NOT_BELOW = "An amount can't be below 0. If the dash only parts name and amount, leave it out."
NOT_NOUGHT = "An amount of 0 adds nothing. Leave the line out, or type what it should be."
TOO_MUCH = "This can be at most 1000000."
TOO_FINE = f"At most {MOST_PLACES} decimals are kept. Type it with fewer."

HARD = re.compile(r"[\t;|=:]")
LEADERS = re.compile(r"\.{2,}|_{2,}|…")
BULLETS = "-–—*•·+ "


@dataclass(frozen=True)
class Reading:
    """One way to read a line. ``parts`` has up to four places, kg, oz and lb turned into grams.

    ``unit`` is "", "%", "parts" or "g". ``problem`` is a sentence when the amount can't be taken.
    """

    name: str
    parts: Decimal
    unit: str
    typed: str
    problem: str = ""


@dataclass(frozen=True)
class NotebookLine:
    """One line that is not blank: its number from 1, its text, its readings; or what is wrong with it.

    ``is_total`` marks a sum that the notebook states: something to check, not a material.
    """

    number: int
    text: str
    readings: tuple[Reading, ...]
    problem: str = ""
    is_total: bool = False


def read_notebook(text: str) -> list[NotebookLine]:
    """Every line of a text area that is not blank, in order."""
    numbered = enumerate(INVISIBLE.sub("", text).splitlines(), start=1)
    return [read_line(line, number) for number, line in numbered if line.strip()]


def read_line(text: str, number: int = 1) -> NotebookLine:
    """All readings of one line. ``problem`` is set when there is none, or none that can be taken."""
    if len(text) > MOST_LINE:
        return NotebookLine(number, text.strip(), (), LINE_TOO_LONG)
    tokens, splits = _cut(text)
    readings = _sensible(list(_readings(tokens, splits)))
    if not readings:
        letters = any(letter.isalpha() for letter in text)
        return NotebookLine(number, text.strip(), (), NO_AMOUNT if letters else NO_NAME)
    if all(r.name.casefold() in TOTALS for r in readings):
        return NotebookLine(number, text.strip(), readings, readings[0].problem, is_total=True)
    problem = readings[0].problem if all(r.problem for r in readings) else ""
    return NotebookLine(number, text.strip(), readings, problem)


def _cut(text: str) -> tuple[list[str], list[int]]:
    """The words of a line, and after how many of them name and amount may part.

    A tab, semicolon, bar, equals sign or colon between them settles the place.
    """
    text = re.sub(r"\bfl\.? *oz\b", "floz", LEADERS.sub(" ", text), flags=re.IGNORECASE)
    cells = [cell.split() for cell in HARD.split(text)]
    tokens = [token for cell in cells for token in cell]
    ends, count = [], 0
    for cell in cells[:-1]:
        count += len(cell)
        ends.append(count)
    inside = sorted({end for end in ends if 0 < end < len(tokens)})
    return tokens, inside or list(range(1, len(tokens)))


def _readings(tokens: list[str], splits: list[int]) -> Iterator[Reading]:
    leading = [at for at in splits if _is_amount(tokens[:at])]
    for at in leading[-1:]:  # the longest amount in front: "1 113,5 g Silica" starts with one number
        yield from _reading(tokens[at:], tokens[:at])
    for at in reversed(splits):
        if _is_amount(tokens[at:]):
            yield from _reading(tokens[:at], tokens[at:])


def _is_amount(tokens: list[str]) -> bool:
    """Whether these words are a number and nothing else but a sign before and a unit behind it."""
    words = _unglued(tokens)
    if words and words[0] in ("+", "-", "−"):
        words = words[1:]
    if len(words) > 1 and _unit(words[-1]):
        words = words[:-1]
    return bool(words) and all(_is_number(word) for word in words)


def _unglued(tokens: list[str]) -> list[str]:
    """The last word cut in two where a unit sticks to its number: 22%, 1.5kg."""
    glued = re.fullmatch(r"(.*[^\W_a-zA-Z])([%a-zA-Z]+)", tokens[-1]) if tokens else None
    if glued and _unit(glued[2]):
        return [*tokens[:-1], glued[1], glued[2]]
    return list(tokens)


def _unit(word: str) -> str:
    plain = word.casefold().rstrip(".")
    return UNITS.get(plain, "volume" if VOLUME.fullmatch(plain) else "")


def _is_number(word: str) -> bool:
    return any(letter.isnumeric() for letter in word) and not any(letter.isalpha() for letter in word)


def _reading(name_words: list[str], amount_words: list[str]) -> Iterator[Reading]:
    if name_words[-1] in ("+", "-", "−"):
        return  # the sign belongs to the number
    name = " ".join(name_words).lstrip(BULLETS).rstrip(",:-–— ")
    if not any(letter.isalpha() for letter in name):
        return
    words = _unglued(amount_words)
    unit = _unit(words[-1])
    number = " ".join(words[:-1] if unit else words)
    found = Reading(name, Decimal(0), unit, " ".join(amount_words))
    try:
        yield replace(found, parts=_parts(found, number), unit="g" if unit in ("kg", "oz", "lb") else unit)
    except TypedProblem as problem:
        yield replace(found, problem=problem.sentence)


def _parts(found: Reading, number: str) -> Decimal:
    """The amount in four places, kg, oz and lb in grams; TypedProblem with the sentence for the line."""
    if len(found.name) > MOST_NAME:
        raise TypedProblem(NAME_TOO_LONG)
    if len(found.typed) > MOST_TYPED:
        raise TypedProblem(TOO_LONG)
    if found.unit == "volume":
        raise TypedProblem(
            f"{found.typed} is a volume, and powder lies looser or tighter every time. "
            "Weigh it and type grams, parts or percent."
        )
    parts = _number(number)
    if parts <= 0:
        raise TypedProblem(NOT_BELOW if parts < 0 else NOT_NOUGHT)
    if parts != round(parts, MOST_PLACES):
        raise TypedProblem(TOO_FINE)
    if found.unit in ("kg", "oz", "lb"):
        parts = round(to_grams(amount=parts, unit=found.unit), MOST_PLACES)
    if parts > MOST_PARTS:
        raise TypedProblem(TOO_MUCH)
    return parts


def _number(text: str) -> Decimal:
    try:
        return parse_decimal(text)
    except Ambiguous as both:
        small, large = (typed_back(reading) for reading in both.readings)
        raise TypedProblem(f"{both.sentence} Type {small} or {large}.") from both


def _sensible(readings: list[Reading]) -> tuple[Reading, ...]:
    """Readings whose name does not begin with a number, where there are such."""
    plain = [r for r in readings if not _is_number(r.name.split()[0])]
    return tuple(plain or readings)
