from .classifications import Classification
from .containers import Container, Stock
from .labels import Label
from .sheets import Acknowledgement, Constituent, Covers, Sheet

__all__ = [
    "Acknowledgement",
    "Classification",
    "Constituent",
    "Container",
    "Covers",
    "Label",
    "Sheet",
    "Stock",
]
