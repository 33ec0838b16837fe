"""The shared formulas: plain numbers in, plain numbers out. No Django, no clock, no settings.

Marks in the docstrings: *opened* - the text was read; *from memory* - the document is named;
*common practice, no source*; *derived* - worked out here, the derivation in one line.
"""
