"""Calculations on recipes: reading notebook lines, proportions, cones. No framework, no clock."""
