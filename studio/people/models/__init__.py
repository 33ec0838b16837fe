from .journal import Counter, Entry
from .members import Invitation, Member, SignOff, Token

__all__ = ["Counter", "Entry", "Invitation", "Member", "SignOff", "Token"]
