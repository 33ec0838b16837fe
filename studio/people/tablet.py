"""The shared tablet: signed in as the room, lent for ten minutes to whoever chose their name and gave a PIN.

Who holds it stands in the session on the server: a number, a moment and a mark of the PIN in force.
The PIN itself is in no session, no cookie and no later page.
"""

from datetime import datetime, timedelta
from functools import cached_property
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.http import HttpRequest
from django.utils import timezone

from studio.people.models import Member
from studio.people.pins import same_stamp, stamp

LENT_FOR = timedelta(minutes=10)
STAYS_SIGNED_IN = timedelta(days=365)
# What was tapped twice, or whose answer was lost on the way, is still answered: it finds the session it
# was sent with, the room's, lent to nobody.
GRACE = timedelta(hours=1)
KEPT = "tablet"


class Tablet:
    """Whether this session is the room's, and who acts on it now. Looks nothing up until asked."""

    def __init__(self, request: HttpRequest, signed_in: Any) -> None:
        self._request, self._signed_in = request, signed_in
        self._once: Member | None = None

    @cached_property
    def room(self) -> Member | None:
        """The room's account when this session is signed in as it."""
        member = self._signed_in
        return member if member.is_authenticated and member.is_room else None

    @cached_property
    def holder(self) -> Member | None:
        """Who chose their name here less than ten minutes ago, with a PIN that is still theirs."""
        said = self._said()
        if said is None or self.until is None or timezone.now() >= self.until:
            return None
        member = Member.objects.filter(pk=said["person"], is_active=True).first()
        return member if member and not member.is_room and same_stamp(member, said["mark"]) else None

    @property
    def until(self) -> datetime | None:
        """Until when the holder's PIN counts."""
        said = self._said()
        return datetime.fromisoformat(said["until"]) if said else None

    @property
    def user(self) -> Any:
        """Who acts: for this once, for ten minutes, else whoever is signed in."""
        return self._once or (self.holder if self.room else None) or self._signed_in

    def lend(self, person: Member) -> None:
        """``person`` gave their PIN. Ten minutes from now are theirs, unless somebody else holds the tablet:
        then this one act is."""
        self._once = person
        if self.holder is not None and self.holder.pk != person.pk:
            return
        _begin_anew(self._request.session)
        until = timezone.now() + LENT_FOR
        said = {"person": person.pk, "until": until.isoformat(), "mark": stamp(person)}
        self._request.session[KEPT] = said
        self._request.session.set_expiry(STAYS_SIGNED_IN)
        self.__dict__["holder"] = person

    def give_back(self) -> None:
        """The holder is done, at once."""
        self._once = None
        self._request.session.pop(KEPT, None)
        self.__dict__["holder"] = None

    def _said(self) -> Any:
        return self._request.session.get(KEPT) if self.room else None


def _begin_anew(session: Any) -> None:
    """A new key for the session; under the old one nobody holds the tablet, and it ends within the hour."""
    session.pop(KEPT, None)
    content, before = dict(session.items()), session.session_key
    session.create()
    session.update(content)
    old = type(session)(before)
    if old.get(SESSION_KEY):
        old.pop(KEPT, None)
        old.set_expiry(GRACE)
        old.save()
