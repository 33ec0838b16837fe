"""What is to be said beside a sheet though it stands: its language, and whose it is. Neither stops an act.

That a sheet in a language the room does not read, or of another supplier than the lot's, is no sheet for it
is our own rule [P]; a person decides, so it is said and not enforced.
"""

import re
from collections.abc import Iterable

OURS = "English"  # our pages are written in it
_ENGLISH = {"english", "eng", "en"}


def language_aside(language: str) -> str:
    """ "In French: ask the supplier for it in English." Empty where it is in English, or nobody said.

    A sheet in several languages is in English when one of them is: "nl, en", "English (UK)".
    """
    said = language.strip()
    if not said or _ENGLISH & set(re.findall(r"[^\W\d_]+", said.casefold())):
        return ""
    return f"In {said[:1].upper()}{said[1:]}: ask the supplier for it in {OURS}."


def supplier_aside(suppliers: Iterable[str], lots: Iterable[tuple[str, str]]) -> str:
    """Which lots are of a supplier none of the sheets is by. Empty where there is none, or nobody said.

    ``suppliers``: whose sheets they are; ``lots``: code and supplier of each.
    """
    ours = [one for one in dict.fromkeys(suppliers) if one.strip()]
    known = {_plain(one) for one in ours}
    strange: dict[str, list[str]] = {}
    for code, supplier in lots:
        if known and _plain(supplier) and _plain(supplier) not in known:
            strange.setdefault(supplier.strip(), []).append(code)
    sheets = "the sheet is" if len(ours) == 1 else "the sheets are"
    return " ".join(
        f"{_lots(codes)} of {supplier}, {sheets} by {' and '.join(ours)}: ask {supplier} for theirs."
        for supplier, codes in strange.items()
    )


def _lots(codes: list[str]) -> str:
    return f"Lot {codes[0]} is" if len(codes) == 1 else f"Lots {', '.join(codes)} are"


def _plain(name: str) -> str:
    """A name without what two people write differently: case, blanks, dots, "and" for "&"."""
    return "".join(re.findall(r"\w+", name.casefold().replace("&", " and ")))
