"""What people type: decimals with comma or point in any digits, and SG in six manners of writing.

Nothing here decides alone: what can be read in two ways is handed back with both.
"""

import re
import unicodedata
from dataclasses import dataclass, replace
from decimal import Decimal

MOST_DIGITS = 15
MOST_LETTERS = 40

SG_LOW, SG_HIGH = Decimal("1.00"), Decimal("2.20")
OFFER_FROM = Decimal("1.05")  # thinner than any glaze: not worth offering; common practice, no source
USUAL_LOW, USUAL_HIGH = Decimal("1.30"), Decimal("1.80")  # common practice, no source: offered first

SLIPPED = "decimal mark"  # no unit: the mark stands one place too far right

EMPTY = "Nothing is typed here yet."
NOT_A_NUMBER = "This is not a number. Type digits with one comma or point, like 12,5 or 12.5, and no unit."
TOO_LONG = f"This number is too long: at most {MOST_DIGITS} digits."
HALF_TYPED = "This number stops at its comma or point. Type what comes after it, or leave it out."
BAD_GROUPS = "The commas, points or spaces in this number do not fit together. Type it like 1450 or 1450.5."

SAME = str.maketrans({"−": "-", "－": "-", "﹣": "-", "＋": "+", "，": ",", "،": ",", "．": "."})
INVISIBLE = re.compile("[\u200b\u200e\u200f\u061c\u2060\ufeff]")
SPACES = re.compile("[ \t\u00a0\u2002-\u200a\u202f\u205f\u3000'’]")
ARABIC_POINT, ARABIC_GROUP = "\u066b", "\u066c"


class TypedProblem(ValueError):
    """What was typed cannot be read; ``sentence`` says so to the person at the field."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class Ambiguous(TypedProblem):
    """What was typed reads as two numbers; ``readings`` holds both, the smaller first."""

    def __init__(self, readings: tuple[Decimal, Decimal]) -> None:
        small, large = readings
        super().__init__(f"This can be read as {_shown(small)} or as {_shown(large)}. Which one is it?")
        self.readings = readings


@dataclass(frozen=True)
class Candidate:
    """One SG that the typed text may stand for. Only a ``sure`` one may be taken without asking.

    ``unit``: what the number was in that case, a name of ``gravity_scales.TOLD`` or ``SLIPPED``; ``typed``:
    the number itself. ``theirs``: the person meant this unit the last time; it is still for them to pick.
    """

    sg: Decimal
    how: str
    sure: bool = False
    unit: str = ""
    typed: Decimal | None = None
    theirs: bool = False


def parse_decimal(text: str, *, point: str = "") -> Decimal:
    """The number somebody typed.

    One separator is the decimal mark, unless exactly three digits follow it and it could as well part
    thousands: then ``Ambiguous`` with both readings. With commas and points both, the last is the
    decimal mark. Several of one kind part thousands. Digits of any script, a real minus, thin spaces
    and apostrophes between thousands; no exponent; at most 15 digits. ``point`` ("." or ",") settles
    which mark is the decimal one, for programs and for a person who said so. ``TypedProblem`` with a
    sentence otherwise. Rules: common practice, no source.
    """
    if point not in ("", ".", ","):
        raise ValueError(f'point must be "", "." or ",", got {point!r}')
    body, negative, point = _cleaned(text, point)
    number = _plain(body, point)
    return -number if negative and number else number


def typed_back(value: Decimal) -> str:
    """A text that ``parse_decimal`` reads as ``value`` and as nothing else: three decimals get a nought."""
    text = _shown(value)
    return f"{text}0" if len(text.partition(".")[2]) == 3 else text


def _shown(value: Decimal) -> str:
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def sg_candidates(text: str, *, theirs: str = "") -> list[Candidate]:
    """The specific gravities that a typed text may stand for, the usual ones first; [] when none fits.

    The one in the unit ``theirs`` stands before all others.

    A plain value of 1.00 to 2.20 is the one ``sure`` candidate ("1,450" too: the range decides). Any
    other number is only offered, in the ways that bring it into that range: decimal mark slipped by one
    place, g in 100 mL, g in a litre, ounces in an imperial pint, degrees Twaddell and Baume; the person
    picks. ``TypedProblem`` when it is no number. Scales: see ``gravity_scales``; range: common practice.
    """
    numbers = _both_readings(text)
    for number in numbers:
        if SG_LOW <= number <= SG_HIGH:
            return [Candidate(sg=number, how="as typed", sure=True)]
    found = [candidate for number in numbers if number > 0 for candidate in _offers(number)]
    if theirs:
        found = [replace(c, theirs=c.unit == theirs) for c in found]
    return sorted(found, key=lambda c: (not c.theirs, not USUAL_LOW <= c.sg <= USUAL_HIGH))


def _both_readings(text: str) -> tuple[Decimal, ...]:
    try:
        return (parse_decimal(text),)
    except Ambiguous as both:
        return both.readings


def _offers(n: Decimal) -> list[Candidate]:
    shown = _shown(n)
    ways = [
        (n / 10, f"{_shown(n / 10)}, with the decimal mark one place to the left", SLIPPED),
        (n / 100, f"{shown} g in 100 mL, divided by 100", "g/100 mL"),
        (n / 1000, f"{shown} g in one litre, divided by 1000", "g/L"),
        (n / 20, f"{shown} ounces in an imperial pint, divided by 20", "oz imperial pint"),
        (1 + n / 200, f"{shown} degrees Twaddell, 1 + {shown} / 200", "twaddell"),
    ]
    if n < 145:
        ways.append((145 / (145 - n), f"{shown} degrees Baumé, 145 / (145 − {shown})", "baumé"))
    rounded = [(sg.quantize(Decimal("0.0001")), how, unit) for sg, how, unit in ways if sg < 10]
    return [
        Candidate(sg=sg, how=how, unit=unit, typed=n)
        for sg, how, unit in rounded
        if OFFER_FROM <= sg <= SG_HIGH
    ]


def _cleaned(text: str, point: str) -> tuple[str, bool, str]:
    """ASCII digits, commas, points and plain spaces; the sign apart; Arabic marks settle ``point``."""
    if len(text) > MOST_LETTERS:
        raise TypedProblem(TOO_LONG)
    body = INVISIBLE.sub("", text).translate(SAME).strip()
    if not body:
        raise TypedProblem(EMPTY)
    if ARABIC_POINT in body or ARABIC_GROUP in body:
        body, point = body.replace(ARABIC_POINT, ",").replace(ARABIC_GROUP, "."), ","
    negative = body[0] == "-"
    body = SPACES.sub(" ", body.removeprefix("-") if negative else body.removeprefix("+")).strip()
    body = "".join(_ascii_digit(letter) for letter in body)
    if not re.fullmatch(r"[0-9., ]*[0-9][0-9., ]*", body):
        raise TypedProblem(NOT_A_NUMBER)
    if sum(letter.isdigit() for letter in body) > MOST_DIGITS:
        raise TypedProblem(TOO_LONG)
    return body, negative, point


def _ascii_digit(letter: str) -> str:
    value = unicodedata.decimal(letter, None)
    return letter if value is None else str(value)


def _plain(body: str, point: str) -> Decimal:
    marks = [letter for letter in body if letter in ".,"]
    if body[-1] in ".,":
        raise TypedProblem(HALF_TYPED)
    mark = point or _decimal_mark(body, marks)
    if mark not in marks:
        return Decimal(_without_groups(body))
    if marks.count(mark) > 1 or marks[-1] != mark:
        raise TypedProblem(BAD_GROUPS)
    whole, _, part = body.rpartition(mark)
    if not part.isdigit():
        raise TypedProblem(BAD_GROUPS)
    as_decimal = Decimal(f"{_without_groups(whole) if whole else '0'}.{part}")
    if not point and len(marks) == 1 and re.fullmatch(r"[1-9][0-9]{0,2}[.,][0-9]{3}", body):
        raise Ambiguous((as_decimal, Decimal(whole + part)))
    return as_decimal


def _decimal_mark(body: str, marks: list[str]) -> str:
    """The mark that parts the decimals, "" when all marks part thousands."""
    if not marks:
        return ""
    if len(set(marks)) == 1 and len(marks) > 1:
        return ""
    return marks[-1]


def _without_groups(body: str) -> str:
    """The digits of a whole number, its groups checked: one kind of mark, three digits after each."""
    if body.isdigit():
        return body
    if not re.fullmatch(r"[0-9]{1,3}([ .,])[0-9]{3}(\1[0-9]{3})*", body):
        raise TypedProblem(BAD_GROUPS)
    return re.sub(r"[ .,]", "", body)
