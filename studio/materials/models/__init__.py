from .lots import Lot
from .materials import Alias, Material
from .stock import Movement, Reservation

__all__ = ["Alias", "Lot", "Material", "Movement", "Reservation"]
