"""CAS registry numbers: two to seven digits, two, and a check digit over them. Rule from memory [M]."""

import re

_SHAPE = re.compile(r"(\d{2,7})-(\d{2})-(\d)")
_DASHES = str.maketrans("‐‑‒–—−", "------")


def tidy_cas(text: str) -> str:
    """A number as it is written: dashes of every kind made plain, spaces dropped."""
    return re.sub(r"\s+", "", text.translate(_DASHES))


def cas_problem(text: str) -> str | None:
    """A sentence where ``text`` is no CAS number; None where it is one, or empty."""
    said = tidy_cas(text)
    if not said:
        return None
    shape = _SHAPE.fullmatch(said)
    if shape is None or not said.isascii():
        return "A CAS number looks like 14808-60-7: digits, two digits, one digit."
    digits = (shape[1] + shape[2])[::-1]
    if sum(n * int(digit) for n, digit in enumerate(digits, 1)) % 10 != int(shape[3]):
        return "Its last digit does not fit the others. Copy the number from the sheet once more."
    return None
