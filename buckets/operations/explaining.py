"""Why a reading was not as expected: a person says so, and only then is anything put right."""

from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone

from buckets.errors import NotYoursToTakeBack
from buckets.models import Explanation, Fill, Interval, Reading
from buckets.operations import intervals
from buckets.operations.care import STANDING_OPEN, water_in, water_off
from buckets.operations.readings import take_back_reading
from buckets.operations.reports import report
from buckets.operations.standing import litres, locked, moment, opened, refuse_taking_back, restate
from studio import words
from studio.errors import NotAllowed, Refused
from studio.people.acts import act
from studio.people.models import Member

Why = Explanation.Why
AS_MEASURED = (
    "sg", "u_sg", "method", "gross_g", "tare_g", "glass", "scale", "as_read", "modulus", "water_g",
    "hydrometer", "temperature_c", "depth_cm", "is_check", "raw", "by", "at",
)  # fmt: skip


@act("reading explained", about="reading")
def explain_reading(
    *,
    reading: Reading,
    why: str,
    volume_l: Decimal | None = None,
    went_at: datetime | None = None,
    to_fill: Fill | None = None,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Explanation:
    """Say why a reading was not what was expected, and do what follows from that. Said once a reading.

    *Forgot to log*: ``volume_l`` litres of water (above 0) are written down at ``went_at``, which lies
    between the two readings (None: halfway): as water in where the SG fell, as lost standing open where it
    rose. *Not stirred*: the reading is taken back. *Other bucket*: it is moved to ``to_fill``.
    *Contaminated*: it is reported, which holds the fill. *Another reason* needs ``note``. A technician, or
    whoever took the reading, on the day they wrote it down.
    """
    _all_opened(reading.fill, *([to_fill] if to_fill else []))
    row = Reading.objects.select_related("fill__vessel", "by").get(pk=reading.pk)
    _refuse_others(row, by)
    interval = _interval_of(row)
    if why not in Why.values:
        raise Refused("What was it? Choose one of these.", field="why")
    if row.explanations.exists():
        raise Refused("Somebody has said already why this reading was not as expected.")
    note = note.strip()
    if why == Why.OTHER and not note:
        raise Refused("Say in a few words what it was.", field="note")
    water_l = _signed(interval, volume_l) if why == Why.FORGOT else None
    explained = Explanation.objects.create(
        reading=row, why=why, volume_l=water_l, note=note, raw=raw, by=by, at=at or timezone.now()
    )
    _put_right(row, interval, explained, went_at=went_at, to_fill=to_fill, by=by, at=at)
    fill = locked(row.fill)
    intervals.carry(fill)
    fill.save(update_fields=intervals.KEPT)
    return explained


def _all_opened(*fills: Fill) -> dict[int, Fill]:
    """These fills locked, by id, in the order that every act keeps."""
    return {pk: opened(fill) for pk, fill in sorted({fill.pk: fill for fill in fills}.items())}


def _refuse_others(row: Reading, by: Member) -> None:
    try:
        refuse_taking_back(row, by)
    except NotYoursToTakeBack:
        raise NotAllowed("A technician says what happened, or who took the reading, on that day.") from None


def _interval_of(reading: Reading) -> Interval:
    interval = Interval.objects.filter(reading=reading).select_related("since").first()
    if interval is None or interval.residual is None:
        raise Refused("Nothing was expected of this reading, so there is nothing to explain.")
    return interval


def _signed(interval: Interval, volume_l: Decimal | None) -> Decimal:
    """Litres that went in, above 0; or that were lost, below 0, where the reading is higher than expected."""
    if volume_l is None or volume_l <= 0:
        raise Refused("How much water was it? It must be more than 0 L.", field="volume_l")
    return volume_l if interval.residual is not None and interval.residual <= 0 else -volume_l


def _put_right(
    row: Reading,
    interval: Interval,
    explained: Explanation,
    *,
    went_at: datetime | None,
    to_fill: Fill | None,
    by: Member,
    at: datetime | None,
) -> None:
    if explained.why == Why.FORGOT:
        _write_down(row, interval, explained, _between(row, interval, went_at))
    elif explained.why == Why.UNSTIRRED:
        reason = "not stirred when it was measured"
        take_back_reading(reading=row, reason=f"{reason}; {explained.note}"[:200].rstrip("; "), by=by, at=at)
    elif explained.why == Why.OTHER_BUCKET:
        if to_fill is None:
            raise Refused("Which bucket was it?", field="to_fill")
        move_reading(reading=row, to_fill=to_fill, note=explained.note, by=by, at=at)
    elif explained.why == Why.CONTAMINATED:
        said = f"SG {words.sg(row.sg)} where {words.sg(interval.predicted_sg)} was expected"
        report(fill=row.fill, words=f"{said}. {explained.note}".strip(), by=by, at=at)


def _between(row: Reading, interval: Interval, went_at: datetime | None) -> datetime:
    before, after = interval.since.at, row.at
    if went_at is None:
        return before + (after - before) / 2
    if not before <= went_at <= after:
        here = [words.clock(timezone.localtime(one), timezone.localtime()) for one in (before, after)]
        raise Refused(f"It went in between the two readings: from {here[0]} to {here[1]}.", field="went_at")
    return went_at


def _write_down(row: Reading, interval: Interval, explained: Explanation, went_at: datetime) -> None:
    """The water that was forgotten, at its own time, by the act that would have told it then."""
    told: dict[str, Any] = {"fill": row.fill, "by": explained.by, "at": went_at, "raw": explained.raw}
    note = f"told afterwards: SG {words.sg(row.sg)} was not as expected"
    water_l = explained.volume_l
    assert water_l is not None  # noqa: S101 - worked out for this
    if water_l > 0:
        water_in(volume_l=water_l, note=note, **told)
    else:
        water_off(how=STANDING_OPEN, volume_l=-water_l, note=note, **told)


@act("reading moved", about="to_fill")
def move_reading(
    *,
    reading: Reading,
    to_fill: Fill,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Reading:
    """A reading was put on the wrong bucket: taken back there, written down for ``to_fill`` as it was taken.

    Same numbers, instruments, time and person; litres are worked out anew where a depth was read. Refused
    for the bucket it is on, and for one that was poured after it was taken. A technician, or whoever wrote
    it, on the same day.
    """
    fills = {fill.pk: opened(fill) for fill in sorted((reading.fill, to_fill), key=lambda fill: int(fill.pk))}
    here, there = fills[reading.fill_id], fills[to_fill.pk]
    refuse_taking_back(reading, by)
    if here.pk == there.pk:
        raise Refused(f"It is on {here.vessel.code} already. Choose the other bucket.", field="to_fill")
    moment_there = _taken_at(there, reading)
    powder = there.particle_density
    if reading.sg is not None and powder is not None and reading.sg >= powder:
        raise Refused(f"No {there.glaze} is as thick as {words.sg(reading.sg)}.", field="to_fill")
    volume_l = _litres_there(there, reading)
    reason = f"belongs to {there.vessel.code}"
    take_back_reading(reading=reading, reason=f"{reason}; {note.strip()}"[:200].rstrip("; "), by=by, at=at)
    row = Reading.objects.create(
        **{name: getattr(reading, name) for name in AS_MEASURED if name != "at"},
        at=moment_there,
        fill=there,
        volume_l=volume_l,
        note=f"moved from {here.vessel.code}; {reading.note}"[:200].rstrip("; "),
    )
    restate(there)
    return row


def _taken_at(there: Fill, reading: Reading) -> datetime:
    try:
        return moment(there, reading.at)
    except Refused as refusal:
        raise Refused(refusal.sentence, field="to_fill") from refusal


def _litres_there(there: Fill, reading: Reading) -> Decimal | None:
    """What the level says in the other bucket: by its own shape where a depth was read."""
    told = None if reading.depth_cm is not None else reading.volume_l
    try:
        return litres(there.vessel, volume_l=told, depth_cm=reading.depth_cm)
    except Refused as refusal:
        raise Refused(refusal.sentence, field="to_fill") from refusal
