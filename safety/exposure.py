"""Two short lines where something gets into the air, onto the skin or down a drain: what to do, what it does.

The first line is the way of working: booth, extraction and respirator when spraying ("application.md" 37,
opened and common practice); wet wiping or a HEPA vacuum, no dry sweeping, no compressed air
("mixtures.md" 11: 1910.1053, opened). The second is the law's own words for the ways it reaches a person
then. The data sheet decides.
"""

from collections.abc import Iterable
from dataclasses import dataclass

BREATHED = ("H330", "H331", "H332", "H334", "H335", "H336", "H34", "H35", "H36", "H37")
TOUCHED = ("H310", "H311", "H312", "H314", "H315", "H317", "H318", "H319", "EUH208")
INTO_WATER = ("H40", "H41")
# Act: its name, how it is done, and the statements that tell of it.
ACTS = {
    "spray": (
        "Spraying",
        "In the booth, extraction and respirator on, nobody unprotected beside it.",
        (*BREATHED, *TOUCHED),
    ),
    "sand": (
        "Sanding and fettling",
        "Wet, or under extraction with a respirator on; so too bisque, fired ware and kiln shelves, "
        "whose dust may hold fine silica.",
        BREATHED,
    ),
    "clean": (
        "Cleaning up",
        "Wipe wet, or use a vacuum with a HEPA filter. Never sweep or brush it dry, no compressed air.",
        (*BREATHED, *TOUCHED, *INTO_WATER),
    ),
    "spill": (
        "When it is spilled",
        "Keep others away, respirator and gloves on. Mist powder, then wipe it up wet; wipe glaze up before "
        "it dries. Nothing into a drain.",
        (*BREATHED, *TOUCHED, *INTO_WATER),
    ),
}
NOT_CLASSIFIED = "Not classified, or not all of it: treat it as hazardous dust."
NOTHING_SAID = (
    "By its classes the law has no statement for this. Keep dust and mist out of the lungs all the same."
)


@dataclass(frozen=True)
class Lines:
    """``name`` of the act; ``how`` it is done; ``what`` it does to a person, by the classes of what it is."""

    name: str
    how: str
    what: str


def lines_for(act: str, *, signal_word: str, statements: Iterable[Iterable[str]], known: bool) -> Lines:
    """The two lines of an act named in ACTS. ``statements``: codes with their words, of what it is done to.

    What is not wholly ``known`` says so before anything else. KeyError for another act.
    """
    name, how, tells = ACTS[act]
    said = [words for code, words in statements if code.startswith(tells)]
    parts = [] if known else [NOT_CLASSIFIED]
    if said:
        parts += [f"{signal_word}." if signal_word else "", *said]
    elif known:
        parts.append(NOTHING_SAID)
    return Lines(name, how, " ".join(part for part in parts if part))
