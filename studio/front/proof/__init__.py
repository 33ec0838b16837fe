"""Whether the books agree: every balance with its ledger, every label, promise and line of descent.

Every check is a question to the database over whole tables, so that a million rows take seconds.
"""

from studio import triggers
from studio.front.proof import (
    checks,
    classifications,
    files,
    intervals,
    labels,
    making,
    measuring,
    numbers,
    people,
    recipes,
    reports,
    shelf,
    store,
)
from studio.front.proof.problem import Problem

__all__ = ["Problem", "problems"]


def problems() -> list[Problem]:
    """Every row that does not agree with the rest; empty when all is well."""
    unguarded = [
        Problem(f"table {table}", "lacks the triggers that keep its history.") for table in triggers.missing()
    ]
    parts = (
        store,
        recipes,
        making,
        shelf,
        intervals,
        measuring,
        labels,
        classifications,
        checks,
        numbers,
        people,
        reports,
        files,
    )
    return unguarded + [problem for part in parts for problem in part.problems()]
