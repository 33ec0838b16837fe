from .bodies import Body
from .details import Details
from .instruments import Calibration, FlowCup, Glass, Hydrometer, Scale
from .policy import PolicyChange
from .vessels import Vessel

__all__ = [
    "Body",
    "Calibration",
    "Details",
    "FlowCup",
    "Glass",
    "Hydrometer",
    "PolicyChange",
    "Scale",
    "Vessel",
]
