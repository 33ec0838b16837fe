"""Arithmetic of fills, pure like ``studio.calc``."""
