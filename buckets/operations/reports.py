"""Something is wrong with it: anybody may say so, the bucket is held at once, a technician answers."""

import hmac
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from uuid import UUID

from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from buckets.models import Fill, Photo, Report, Use
from buckets.operations.holding import hold_unless_held, refuse_reports, release_hold, report_reason
from buckets.operations.standing import STANDS, locked, moment, opened
from buckets.pictures import MOST_PHOTOS, Picture, keep
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.people.operations.notices import tell
from studio.room import policy

TOLD_BACK = timedelta(days=7)  # whoever used it in these days is told; common practice, no source
AN_HOUR = timedelta(hours=1)


@act("reported", about="fill", secret=("pictures", "sender"))
def report(
    *,
    fill: Fill,
    words: str = "",
    kind: str = "",
    photos: Sequence[str] = (),
    pictures: Mapping[str, Picture] | None = None,
    sender: str = "",
    by: Member | None = None,
    raw: str = "",
    key: UUID | None = None,
    at: datetime | None = None,
) -> Report:
    """Something is wrong with a fill: kept as the reporter said it, and the fill is held at once.

    A ``kind`` (of ``Report.Kind``) is enough, and so are ``words``. ``photos`` names by digest those of
    ``pictures`` that go with it; their files are written when the act is certain. Nobody needs to be
    known for it: ``by`` None is a stranger at the bucket, ``sender`` (see ``sender_of``) is what they are
    counted by, and past the room's limit they are asked to find a technician. A fill that is held
    already keeps its first reason. Whoever used it in the last 7 days is told.
    """
    fill = opened(fill)
    said = words.strip()
    if not said and not kind:
        raise Refused("Tap what it is, or say in a few words what looks wrong.", field="words")
    if kind and kind not in Report.Kind.values:
        raise Refused("Choose one of these, or say it in words.", field="kind")
    if len(photos) > MOST_PHOTOS:
        raise Refused(f"At most {MOST_PHOTOS} photos; choose the clearest ones.", field="photos")
    if by is None:
        _refuse_too_many(sender)
    row = Report.objects.create(
        fill=fill,
        kind=kind or Report.Kind.OTHER,
        words=said,
        by=by,
        at=moment(fill, at),
        sender="" if by else sender,
    )
    hold_unless_held(fill, report_reason(row), row.at)
    row.held_from = fill.held_at
    row.save(update_fields=["held_from"])
    _keep_photos(row, [(pictures or {})[digest] for digest in photos])
    _tell_users(row)
    return row


def sender_of(address: str, at: datetime | None = None) -> str:
    """What a stranger's reports are counted by: a keyed digest that says neither who nor, later, where."""
    hour = (at or timezone.now()).strftime("%Y-%m-%d %H")
    said = f"{address} {hour}".encode()
    return hmac.new(settings.SECRET_KEY.encode(), said, "sha256").hexdigest()[:16]


def _refuse_too_many(sender: str) -> None:
    """Over the limit a report is not lost in silence: the sentence sends them to a person."""
    if not sender:
        return
    most = int(policy.in_force().strangers_reports_per_hour)
    since = timezone.now() - AN_HOUR
    if Report.objects.filter(by=None, sender=sender, at__gte=since).count() >= most:
        raise Refused(
            f"{most} reports came from here within this hour, so this one was not kept. Put the lid on "
            "and tell a technician now; or sign in and report it under your name."
        )


def _keep_photos(row: Report, pictures: list[Picture]) -> None:
    Photo.objects.bulk_create(
        Photo(
            report=row,
            digest=picture.digest,
            small_digest=picture.small_digest,
            width=picture.width,
            height=picture.height,
        )
        for picture in pictures
    )
    if pictures:
        keep(pictures)


# --- who is told


def users_before(row: Report) -> set[int]:
    """Numbers of the people who used the fill in the 7 days before it was reported."""
    uses = Use.objects.filter(STANDS, fill=row.fill_id, at__lte=row.at, at__gte=row.at - TOLD_BACK)
    return set(uses.exclude(by=None).values_list("by", flat=True))


def _named(fill: Fill) -> str:
    return f"{fill.vessel.code} {fill.glaze}"


def _tell_users(row: Report) -> None:
    fill = row.fill
    words = (
        f"{_named(fill)} was reported: {row.said}. You used it in the last 7 days: keep pieces that are not "
        "fired yet off the kiln shelf until a technician has answered."
    )
    tell(users_before(row) - {row.by_id}, words, reverse("bucket", args=[fill.vessel.code]), at=row.at)


def _tell_answer(row: Report) -> None:
    """The answer goes to the reporter, and to whoever was told of the report."""
    fill, at = row.fill, row.answered_at
    page = reverse("bucket", args=[fill.vessel.code])
    if row.by_id:
        tell([row.by_id], f"Your report on {_named(fill)}: {_decided(row)}", page, at=at)
    tell(users_before(row) - {row.by_id}, f"{_named(fill)} was looked at: {_decided(row)}", page, at=at)


def _decided(row: Report) -> str:
    return f"{OUTCOMES[row.decision]} “{row.answer}”"


OUTCOMES: dict[str, str] = {
    Report.Decision.TINTED: "it is released as tinted, with no food-surface claim until tile and reading.",
    Report.Decision.PUT_RIGHT: "it is put right and released.",
    Report.Decision.FALSE_ALARM: "it was a false alarm, and thank you: it costs nothing.",
    Report.Decision.RETIRE: "it is taken out of use.",
    Report.Decision.KEEP: "it stays held.",
}


# --- a technician's part


@act("window of doubt set", about="report")
def set_doubt(
    *,
    report: Report,
    good_until: datetime,
    good_why: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Report:
    """Until when the fill was surely good, and what shows it; before the report, not before pouring in."""
    fill = locked(report.fill)
    refuse_unless(by, rights.MAKE)
    row = Report.objects.select_for_update().get(pk=report.pk)
    if good_until > row.at:
        raise Refused("That is after the report. When was it surely good?", field="good_until")
    if good_until < fill.poured_at:
        raise Refused(f"That is before {fill.glaze} was in {fill.vessel.code}.", field="good_until")
    row.good_until, row.good_why = good_until, good_why.strip()[:200]
    row.save(update_fields=["good_until", "good_why"])
    return row


@act("report answered", about="report")
def answer_report(
    *,
    report: Report,
    answer: str,
    decision: str = Report.Decision.KEEP,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Report:
    """A technician's ``decision`` on a report, with what was found. The reporter and the users are told.

    Tinted, put right and false alarm lift the hold: refused while another report on the fill waits, and
    a hold of one of its lots stays. Tinted marks the fill and asks for its tile.
    """
    fill = locked(report.fill)
    refuse_unless(by, rights.MAKE)
    row = Report.objects.select_for_update().get(pk=report.pk)
    if row.answered_at:
        raise Refused("This report was answered already.")
    if not answer.strip():
        raise Refused("Say what was found and decided.", field="answer")
    if decision not in Report.Decision.values:
        raise Refused("What is to become of it? Choose one of these.", field="decision")
    row.fill = fill
    row.answered_by, row.answered_at, row.answer = by, at or timezone.now(), answer.strip()
    row.decision = decision
    row.save(update_fields=["answered_by", "answered_at", "answer", "decision"])
    _carry_out(row, fill)
    _tell_answer(row)
    row.refresh_from_db()
    return row


def _carry_out(row: Report, fill: Fill) -> None:
    if fill.emptied_at:
        return
    if row.decision in Report.LIFTING and fill.held:
        refuse_reports(fill)
        release_hold(fill, row.answered_at or timezone.now())
    if row.decision == Report.Decision.TINTED:
        fill.tinted = fill.tile_due = True
        fill.save(update_fields=["tinted", "tile_due"])
    if row.decision == Report.Decision.RETIRE and fill.held:
        fill.held_reason = f"to be retired: {row.said}"[:200]
        fill.save(update_fields=["held_reason"])


@act("tint cleared", about="fill")
def clear_tint(
    *, fill: Fill, decision: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Fill:
    """Tile and reading of a tinted fill were looked at: it is an ordinary fill again, with the reason."""
    fill = opened(fill)
    refuse_unless(by, rights.MAKE)
    if not fill.tinted:
        raise Refused(f"{fill.glaze} in {fill.vessel.code} is not marked as tinted.")
    if not decision.strip():
        raise Refused("Say what tile and reading showed.", field="decision")
    fill.tinted = False
    fill.save(update_fields=["tinted"])
    return fill
