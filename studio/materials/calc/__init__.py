"""Arithmetic of stock and money, pure like ``studio.calc``."""
