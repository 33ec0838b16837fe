"""Somebody new was shown how to dip."""

from datetime import datetime
from uuid import UUID

from django.utils import timezone

from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member


@act("dip card seen", about="by")
def dip_card_seen(*, by: Member, key: UUID | None = None, at: datetime | None = None) -> Member:
    """They have read how to dip: buckets show it to them no more. Saying so again changes nothing."""
    refuse_unless(by, rights.OWN)
    member = Member.objects.select_for_update().get(pk=by.pk)
    if member.dip_card_at is None:
        member.dip_card_at = at or timezone.now()
        member.save(update_fields=["dip_card_at"])
    return member
