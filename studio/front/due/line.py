from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Due:
    """One line of Today. ``urgency`` 0 hurts first; ``icon`` names a drawing."""

    urgency: int
    icon: str
    what: str
    why: str
    address: str
