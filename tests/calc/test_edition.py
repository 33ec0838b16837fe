"""An edition of the working out stands for its results: whoever changes a result raises the edition.

What is on file by an earlier edition is worked out anew after an upgrade only because the number rose.
"""

import hashlib
import json
from decimal import Decimal

from safety.calc.hazards import Hazards
from safety.calc.mixture import EDITION, RULES_OF_LAW, Ingredient, classify
from safety.substances import table

SHARES = ("100", "30", "10", "5", "1", "0.3", "0.1")
FILLER = Hazards(stated="not hazardous")
# Of the edition named beside it, over every substance of the table at every share by every law.
RESULTS = (3, "1722823a7c80a0e2")


def results() -> str:
    """One digest of all results, reasons and lines included."""
    found = hashlib.sha256()
    for law in RULES_OF_LAW:
        for substance in table():
            for share in map(Decimal, SHARES):
                mixture = classify(
                    ingredients=(
                        Ingredient(
                            name=substance.name, cas=substance.cas, pct=share, hazards=substance.hazards
                        ),
                        Ingredient(name="filler", cas="", pct=100 - share, hazards=FILLER),
                    ),
                    rules=RULES_OF_LAW[law][0],
                )
                found.update(json.dumps(mixture.as_plain(), sort_keys=True).encode())
    return found.hexdigest()[:16]


def test_the_same_edition_leads_to_the_same_results():
    """It fails after a change of the rules: raise EDITION where the last one has been in use, then renew."""
    assert (EDITION, results()) == RESULTS
