"""What a very small container bears under US law, with the full label for its outer package beside it.

29 CFR 1910.1200(f)(12), as ``safety.calc.sizes.us_least`` has it. Which of it may be used hangs on what only
a person sees: whether a fold works, whether a label is in the way. So all that may be needed is printed, and
a sentence says by which rule.
"""

from dataclasses import replace
from math import ceil

from safety.labelling import wording
from safety.labelling.faces import lay_out
from safety.labelling.measure import lines
from safety.labelling.pieces import AFTER, LINE, Face, Laid, Words
from safety.labelling.sizes import Printed
from safety.models import Label

RULE = "29 CFR 1910.1200(f)(12)"
NAME_EM, NAME_PAD_MM = 1.2, 2.5
SHORT = (
    "By {rule}, up to 100 mL: where no pull-out or fold of the full label works, the container bears the "
    "short label, and its outer package the full one, {full}."
)
NAME = (
    "By {rule}, up to 3 mL: where a label would be in the way, the container bears the strip with its name, "
    "else the {else_}; its outer package bears the full one, {full}."
)
FOLDED = "A fold works, so the container bears the full label: the short one of {rule} is left out."


def with_least(label: Label, whole: Laid, *, folds: bool) -> Laid:
    """The full label, before it what the container may bear in its stead; ``folds``: it is folded up."""
    least = wording.least(label)
    if least == "full":
        return whole
    several = len(whole.faces) > 1
    short = _short(label, whole) if several and not folds else ()
    name = (_name(whole),) if least == "name" else ()
    notes = (*whole.notes, *_notes(least, len(whole.faces), bool(short)))
    if several and folds:
        notes = (*notes, FOLDED.format(rule=RULE))
    return replace(whole, faces=(*name, *short, *whole.faces), notes=notes)


def _notes(least: str, faces: int, short: bool) -> list[str]:
    full = "one label" if faces == 1 else f"{faces} labels"
    said = []
    if least == "name":
        said.append(NAME.format(rule=RULE, full=full, else_="short label" if short else "full label"))
    if short:
        said.append(SHORT.format(rule=RULE, full=full))
    return said


def _short(label: Label, whole: Laid) -> tuple[Face, ...]:
    words = wording.short(label, whole.faces[0].words)
    return lay_out(words, whole.size, whole.width_mm, whole.height_mm).faces


def _name(whole: Laid) -> Face:
    """The product identifier alone, with the serial that finds the rest."""
    return Face(number=1, of=1, words=whole.faces[0].words, blocks=(), kind="name")


def name_mm(words: Words, size: Printed, width_mm: float) -> float:
    """Height of the strip with the name alone, whole millimetres."""
    em, inner = size.text_mm, width_mm - 2 * NAME_PAD_MM
    said = ((words.title, NAME_EM, True), (words.serial, 1.0, False))
    high = sum(
        em * (times * LINE * lines(text, em * times, inner, bold=bold) + AFTER * times)
        for text, times, bold in said
    )
    return float(ceil(high + 2 * NAME_PAD_MM))
