"""Whose word counts when several sources speak of one substance.

The lot's own sheet first; in the EU the harmonised entry as the least that holds; the table of usual classes
only where nothing else speaks. Beside a sheet written for another country's law both count, too. What is
stricter stays.
"""

from safety.calc.composition import strictest
from safety.calc.hazards import ROUTES, Hazards

UNKNOWN = Hazards(stated="unknown", unknown_acute=ROUTES)


def standing(
    *,
    sheet: Hazards | None,
    harmonised: Hazards | None,
    seed: Hazards | None,
    law: str,
    sheet_law: str = "",
) -> Hazards:
    """What counts for one substance under a law ("EU", "US", "UN"); None: that source does not speak.

    Without any word the substance is unknown by every route, which is never taken for harmless.
    """
    elsewhere = bool(sheet_law) and sheet_law != law
    least = harmonised if law == "EU" or elsewhere else None
    beside = seed if elsewhere else None
    if sheet is not None and sheet.known:
        counts = sheet
        for other in (least, beside):
            if other is not None and other.known:
                counts = strictest(counts, other)
        return counts
    for other in (harmonised, seed):
        if other is not None and other.known:
            return other
    return UNKNOWN
