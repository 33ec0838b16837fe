"""Why an act about people is refused."""

from studio.errors import Refused
from studio.people.models import Member


class LastManager(Refused):
    """A studio keeps at least one manager who can sign in."""

    def __init__(self, member: Member) -> None:
        super().__init__(
            f"{member} is the only manager. Make somebody else a manager first, then try again.",
            field="role",
        )


class HasLeft(Refused):
    """The person has left; only coming back changes that."""

    def __init__(self, member: Member) -> None:
        super().__init__(f"{member} has left the studio. Let them come back first.")


class LinkClosed(Refused):
    """A link that opens nothing any more, or never did."""

    status = 410

    def __init__(self, why: str) -> None:
        super().__init__(f"{why} Ask a manager for a new link.")


class NameTaken(Refused):
    """Two people can't sign in by the same name."""

    def __init__(self, username: str) -> None:
        super().__init__(
            f"Somebody already signs in as “{username}”. Choose another name to sign in with.",
            field="username",
        )
