from .batches import Batch, Line
from .requests import Request
from .steps import Step, Weighing

__all__ = ["Batch", "Line", "Request", "Step", "Weighing"]
