from .journal import Counter, Entry
from .members import Invitation, Member, SignOff, Token
from .notices import Notice

__all__ = ["Counter", "Entry", "Invitation", "Member", "Notice", "SignOff", "Token"]
