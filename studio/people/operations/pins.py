"""PINs for the room's tablet: set and removed by their owner, tried at the tablet, closed when guessed at."""

from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.utils import timezone
from django.views.decorators.debug import sensitive_variables

from studio import words
from studio.errors import Refused
from studio.people import pins, rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.people.operations.notices import tell

MOST_MISSES = 5
CLOSED_FOR = timedelta(minutes=15)
WRONG = "That is not right. Nothing was done."
TOLD = (
    f"At the room's tablet, {MOST_MISSES} wrong PINs in a row were typed for your name. "
    "If that was not you, tell a manager."
)


@sensitive_variables("pin", "current", "digits")
@act("PIN set", about="by", secret=("current", "pin"))
def set_pin(*, current: str, pin: str, by: Member, key: UUID | None = None) -> Member:
    """Set or change one's own PIN, knowing one's password. A closed one is open again with it.

    Refused when it is no 4 to 6 digits or among the first that are guessed; that somebody else has
    the same is never said.
    """
    refuse_unless(by, rights.OWN)
    digits = pins.digits_of(pin)
    member = Member.objects.select_for_update().get(pk=by.pk)
    if not member.check_password(current):
        raise Refused("That is not your password now. Mind capital letters.", field="current")
    pins.refuse_easy(digits)
    return _keep(member, pins.kept(digits))


@act("PIN removed", about="member")
def remove_pin(*, member: Member, by: Member, key: UUID | None = None) -> Member:
    """Remove one's own PIN, or, as a technician, anybody's. Their password goes on working."""
    refuse_unless(by, rights.OWN if member.pk == by.pk else rights.ROOM)
    member = Member.objects.select_for_update().get(pk=member.pk)
    if not member.pin:
        raise Refused(f"{member} has no PIN.")
    return _keep(member, "")


def _keep(member: Member, digest: str) -> Member:
    member.pin, member.pin_misses, member.pin_closed_until = digest, 0, None
    member.save(update_fields=["pin", "pin_misses", "pin_closed_until"])
    return member


@sensitive_variables("pin", "digits")
def try_pin(*, number: int, pin: str, at: datetime | None = None) -> Member:
    """The person with this number, if the PIN is theirs; Refused otherwise, in the same words for all.

    A try is counted before it is judged, under the person's row lock, so that two tablets have five
    tries between them, too. After five wrong ones the PIN is closed for 15 minutes, and the person told.
    """
    digits, now = pins.digits_of(pin), at or timezone.now()
    member = _count_a_try(number, now)
    if not (pins.fits(digits, member) and member and member.is_active and not member.is_room):
        raise Refused(_after_a_miss(member, now), field="pin")
    Member.objects.filter(pk=member.pk).update(pin_misses=0, pin_closed_until=None)
    return member


@transaction.atomic
def _count_a_try(number: int, now: datetime) -> Member | None:
    member = Member.objects.select_for_update().filter(pk=number).first()
    if member is None:
        return None
    if member.pin_closed_until and now < member.pin_closed_until:
        raise Refused(_closed(member, member.pin_closed_until, now), field="pin")
    member.pin_misses = (0 if member.pin_closed_until else member.pin_misses) + 1
    member.pin_closed_until = now + CLOSED_FOR if member.pin_misses >= MOST_MISSES else None
    member.save(update_fields=["pin_misses", "pin_closed_until"])
    return member


@transaction.atomic
def _after_a_miss(member: Member | None, now: datetime) -> str:
    if member is None or member.pin_closed_until is None:
        return WRONG
    if member.pin:
        tell([member.pk], TOLD, at=now)
    return _closed(member, member.pin_closed_until, now)


def _closed(member: Member, until: datetime, now: datetime) -> str:
    at = words.clock(timezone.localtime(until), timezone.localtime(now))
    return f"Too many wrong tries for {member}: closed until {at}. The password works as ever."
