"""Notices: a sentence for one person with the page it speaks of; read when they say so."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.db.models import F
from django.utils import timezone

from studio.errors import NotAllowed
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member, Notice
from studio.people.queries import people_here

LONGEST = 300


def tell(people: Iterable[int], words: str, address: str = "", *, at: datetime | None = None) -> int:
    """Part of an act: a notice for each of these people (by number); returns how many were told.

    Who has left is not told, nor a tablet, and nobody twice. ``words`` beyond 300 letters are cut;
    ``address`` is a page of this studio.
    """
    there = people_here().filter(pk__in=set(people))
    # in order of their numbers, so that no two acts wait for each other
    told = list(there.select_for_update().order_by("pk").values_list("pk", flat=True))
    cut = words if len(words) <= LONGEST else f"{words[: LONGEST - 1]}…"
    now = at or timezone.now()
    Notice.objects.bulk_create(Notice(to_id=pk, words=cut, address=address, at=now) for pk in told)
    Member.objects.filter(pk__in=told).update(unread=F("unread") + 1)
    return len(told)


@act("notice read", about="notice")
def mark_read(*, notice: Notice, by: Member, key: UUID | None = None, at: datetime | None = None) -> Notice:
    """One's own notice was read; reading it again changes nothing."""
    refuse_unless(by, rights.SEE)
    if notice.to_id != by.pk:
        raise NotAllowed("This notice is for somebody else.")
    Member.objects.select_for_update().get(pk=by.pk)
    row = Notice.objects.select_for_update().get(pk=notice.pk)
    if row.read_at is None:
        row.read_at = at or timezone.now()
        row.save(update_fields=["read_at"])
        _count(by)
    return row


@act("notices read", about="by")
def mark_all_read(*, by: Member, key: UUID | None = None, at: datetime | None = None) -> Member:
    """All of one's own notices were read."""
    refuse_unless(by, rights.SEE)
    member = Member.objects.select_for_update().get(pk=by.pk)
    Notice.objects.filter(to=member, read_at=None).update(read_at=at or timezone.now())
    _count(member)
    return member


def _count(member: Member) -> None:
    """Keep beside the person how many of their notices are unread."""
    member.unread = Notice.objects.filter(to=member, read_at=None).count()
    member.save(update_fields=["unread"])
