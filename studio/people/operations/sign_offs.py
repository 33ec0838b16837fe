"""Sign-offs: one person confirms that another may do a kind of work, until a date."""

from datetime import date, datetime
from uuid import UUID

from django.utils import timezone

from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.errors import HasLeft
from studio.people.models import Member, SignOff
from studio.people.operations.members import refuse_room


@act("sign-off given", about="member")
def give_sign_off(
    *,
    member: Member,
    kind: str,
    expires_on: date,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> SignOff:
    """Sign somebody off for a kind of work, up to and including a day.

    One of the same kind still in force ends with it: giving it anew is how it is renewed.
    """
    refuse_unless(by, rights.PEOPLE)
    member = Member.objects.select_for_update().get(pk=member.pk)
    if not member.is_active:
        raise HasLeft(member)
    refuse_room(member)
    moment = at or timezone.now()
    if expires_on < timezone.localdate(moment):
        raise Refused("That day is past. Until when does it hold?", field="expires_on")
    member.sign_offs.filter(kind=kind, withdrawn_at=None).update(withdrawn_at=moment)
    return SignOff.objects.create(
        member=member, kind=kind, expires_on=expires_on, given_by=by, given_at=moment
    )


@act("sign-off withdrawn", about="member")
def withdraw_sign_off(
    *,
    sign_off: SignOff,
    member: Member,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> SignOff:
    """Take a sign-off of ``member`` back; from now on it allows nothing."""
    refuse_unless(by, rights.PEOPLE)
    Member.objects.select_for_update().get(pk=member.pk)
    sign_off = SignOff.objects.select_for_update().get(pk=sign_off.pk, member=member)
    if sign_off.withdrawn_at:
        raise Refused(f"This sign-off for {sign_off.kind} was taken back or renewed already.")
    sign_off.withdrawn_at = at or timezone.now()
    sign_off.save(update_fields=["withdrawn_at"])
    return sign_off
