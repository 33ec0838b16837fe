from .recipes import Line, Recipe, Version

__all__ = ["Line", "Recipe", "Version"]
