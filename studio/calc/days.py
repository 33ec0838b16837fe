"""Days as people write them."""

from datetime import date


def said_day(day: date) -> str:
    """``24 Mar 2026``: no leading nought, no order of figures to mistake."""
    return f"{day.day} {day:%b %Y}"
