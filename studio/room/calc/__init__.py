"""Arithmetic of vessels, pure like ``studio.calc``."""
