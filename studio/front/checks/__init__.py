"""Which of our functions answers to which name in a check-value file.

The one table, in parts by subject. A name that is not in it is unknown, and says so.
"""

from studio.front.checks import charts, coats, flow, loss, mixtures, moisture, settling, slurries, weighing
from studio.front.checks.answers import Answer

PARTS = (slurries, coats, settling, charts, loss, flow, weighing, moisture, mixtures)
CHECKS: dict[str, Answer] = {name: answer for part in PARTS for name, answer in part.CHECKS.items()}

__all__ = ["CHECKS", "Answer"]
