"""What an inspector asks for, read at one moment: gaps first, then everything that is on file.

Nothing is left out for looking bad, and what is not kept here says so.
"""

from studio.front.inspection.facts import Facts, read
from studio.front.inspection.gaps import Gap, gaps_in
from studio.front.inspection.sections import sections_of

__all__ = ["Facts", "Gap", "gaps_in", "read", "sections_of"]
