from .labels import Label

__all__ = ["Label"]
