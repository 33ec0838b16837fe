from .instruments import Glass, Scale
from .policy import PolicyChange
from .vessels import Vessel

__all__ = ["Glass", "PolicyChange", "Scale", "Vessel"]
