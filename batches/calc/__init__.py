"""Arithmetic of making a batch, pure like ``studio.calc``."""
