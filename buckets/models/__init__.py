from .care import Care, Report, Use
from .fills import Fill, Parent
from .readings import Reading

__all__ = ["Care", "Fill", "Parent", "Reading", "Report", "Use"]
