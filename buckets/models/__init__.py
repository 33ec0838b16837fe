from .care import Care, Powder, Use, WriteOff
from .coating import Tile
from .cups import Cup
from .fills import Fill, Parent
from .intervals import Explanation, Interval
from .readings import Density, Flow, Reading, Settling
from .reports import HeldByLot, LotHold, Photo, Report
from .rounds import Round, Stop

__all__ = [
    "Care",
    "Cup",
    "Density",
    "Explanation",
    "Fill",
    "Flow",
    "HeldByLot",
    "Interval",
    "LotHold",
    "Parent",
    "Photo",
    "Powder",
    "Reading",
    "Report",
    "Round",
    "Settling",
    "Stop",
    "Tile",
    "Use",
    "WriteOff",
]
