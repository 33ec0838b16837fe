from .checks import SafetyCheck
from .classifications import Classification
from .contact import LeachResult, LeachTest
from .containers import Container, Stock
from .incidents import Aftermath, Incident
from .labels import Label
from .sheets import Acknowledgement, Constituent, Covers, Sheet

__all__ = [
    "Acknowledgement",
    "Aftermath",
    "Classification",
    "Constituent",
    "Container",
    "Covers",
    "Incident",
    "Label",
    "LeachResult",
    "LeachTest",
    "SafetyCheck",
    "Sheet",
    "Stock",
]
