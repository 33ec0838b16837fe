"""The story of a fill: the newest of what was done and measured, corrections in sight."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from operator import itemgetter
from typing import Any, NamedTuple

from django.db.models import IntegerField, QuerySet
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from buckets.answers import A_MEMBER, NOBODY
from buckets.care_words import care_words
from buckets.lasting import lasts
from buckets.models import Care, Fill, Reading, Report, Use
from studio import words
from studio.addresses import address
from studio.people import rights
from studio.people.models import Entry, Member
from studio.prepared import Prepared

LENGTH = 40


class ReadingRow(NamedTuple):
    """A reading as the story tells it; ``was_…`` of the one it takes back, ``undone``: what took it back."""

    id: int
    at: datetime
    entered_at: datetime
    by_id: int | None
    by: str | None
    sg: Decimal | None
    u_sg: Decimal | None
    volume_l: Decimal | None
    is_check: bool
    note: str
    replaces: int | None
    was_sg: Decimal | None
    was_u_sg: Decimal | None
    was_volume_l: Decimal | None
    undone: int | None


class CareRow(NamedTuple):
    """A care entry as the story tells it."""

    id: int
    at: datetime
    entered_at: datetime
    by_id: int | None
    by: str | None
    kind: str
    volume_l: Decimal | None
    mass_g: Decimal | None
    additive: str
    dose_pct: Decimal | None
    stock_g_per_l: Decimal | None
    how: str
    note: str
    reverses: int | None
    undone: int | None


class UseRow(NamedTuple):
    """A use as the story tells it."""

    id: int
    at: datetime
    entered_at: datetime
    by_id: int | None
    by: str | None
    volume_l: Decimal
    pieces: int | None
    raw: str
    reverses: int | None
    undone: int | None


class EntryRow(NamedTuple):
    """A line of the journal as the story tells it."""

    id: int
    at: datetime
    by: str | None
    act: str
    content: dict[str, Any]


def _rows_of(model: Any, *names: str) -> Prepared:
    """The newest 40 rows of one kind of a fill."""
    columns = ("id", "at", "entered_at", "by_id", "by__name", *names)

    def build(fill: int) -> Any:
        return model.objects.filter(fill=fill).order_by("-at", "-id").values_list(*columns)[:LENGTH]

    return Prepared(build, fill=IntegerField())


READINGS = _rows_of(
    Reading,
    *("sg", "u_sg", "volume_l", "is_check", "note", "replaces_id"),
    *("replaces__sg", "replaces__u_sg", "replaces__volume_l", "replaced_by__id"),
)
CARE = _rows_of(Care, *CareRow._fields[5:-2], "reverses_id", "reversed_by__id")
USES = _rows_of(Use, "volume_l", "pieces", "raw", "reverses_id", "reversed_by__id")
REPORTS = Prepared(
    lambda fill: (
        Report.objects.filter(fill=fill).select_related("by", "answered_by").order_by("-at", "-id")[:LENGTH]
    ),
    fill=IntegerField(),
)
TOLD_BY_ROWS = [model._meta.label_lower for model in (Reading, Care, Use, Report)]


def _other_acts(fill: int) -> QuerySet[Any, Any]:
    """Of the newest 40 acts those that left no row told above: held, lifted, released, label printed."""
    newest = Entry.objects.filter(about_kind=Fill._meta.label_lower, about_id=fill).order_by("-id")
    others = Entry.objects.filter(pk__in=newest.values("pk")[:LENGTH]).exclude(result_kind__in=TOLD_BY_ROWS)
    others = others.exclude(act="split")  # its own entry of care says it, with the litres
    return others.order_by("-id").values_list("id", "at", "by__name", "act", "content")


ENTRIES = Prepared(_other_acts, fill=IntegerField())


class Event(NamedTuple):
    """One line of the story. ``undone``: it was taken back; ``take_back``: the address that does it."""

    at: datetime
    order: int
    words: str
    by: str
    more: str = ""
    mark: str = ""
    undone: bool = False
    take_back: str = ""


@dataclass(frozen=True, kw_only=True)
class Story:
    """The newest events of a fill, and the rows behind them for the page's other parts."""

    events: list[Event]
    readings: list[ReadingRow]
    care: list[CareRow]
    reports: list[Report]


def story_of(fill: Fill, reader: Member | None, *, names: bool = True) -> Story:
    """The last 40 events, newest first: five queries, however long the history is."""
    readings = [ReadingRow(*row) for row in READINGS.rows(fill=fill.pk)]
    reports = REPORTS.rows(fill=fill.pk)
    teller = _Teller(fill, reader, names)
    told: list[tuple[datetime, int, Any]] = [(row.at, row.id, row) for row in readings]
    care = [CareRow(*row) for row in CARE.rows(fill=fill.pk)]
    told += [(row.at, row.id, row) for row in care]
    told += [(row.at, row.id, row) for row in (UseRow(*row) for row in USES.rows(fill=fill.pk))]
    events = [event for row in reports for event in teller.of_report(row)]
    events += [teller.of_entry(EntryRow(*row)) for row in ENTRIES.rows(fill=fill.pk)]
    told += [(event.at, event.order, event) for event in events]
    told.sort(key=itemgetter(0, 1), reverse=True)
    # Words are found for what is shown only.
    newest = [teller.of(row) for _, _, row in told[:LENGTH]]
    return Story(events=newest, readings=readings, care=care, reports=reports)


class _Teller:
    """Words for each kind of row, for one reader."""

    def __init__(self, fill: Fill, reader: Member | None, names: bool) -> None:
        self.fill, self.reader, self.names = fill, reader, names
        self.today = timezone.localdate()
        open_ = fill.emptied_at is None
        self.may_all = open_ and reader is not None and reader.may(rights.MAKE)
        self.may_own = open_ and reader is not None

    def who(self, name: str | None) -> str:
        if name is None:
            return NOBODY
        return name if self.names else A_MEMBER

    def of(self, row: Any) -> Event:
        if isinstance(row, ReadingRow):
            return self.of_reading(row)
        if isinstance(row, CareRow):
            return self.of_care(row)
        return self.of_use(row) if isinstance(row, UseRow) else row

    def of_reading(self, row: ReadingRow) -> Event:
        if row.replaces is not None and row.sg is None:
            was = _reading_words(row.was_sg, row.was_u_sg, row.was_volume_l)
            return self._event(row, f"Taken back: {was}", more=row.note)
        said = _reading_words(row.sg, row.u_sg, row.volume_l)
        mark = "" if row.is_check else "member’s reading"
        return self._event(row, said, more=row.note, mark=mark, take_back="take-back-reading")

    def of_care(self, row: CareRow) -> Event:
        said = care_words(row)
        if row.reverses is not None:
            return self._event(row, f"Taken back: {said}", more=row.note)
        take_back = "" if lasts(row.kind, row.how) else "take-back-care"
        return self._event(row, said, more=row.note, take_back=take_back)

    def of_use(self, row: UseRow) -> Event:
        said = _use_words(row.volume_l, row.pieces)
        if row.reverses is not None:
            return self._event(row, f"Taken back: {said}", more=row.raw)
        return self._event(row, said, take_back="take-back-use")

    def of_report(self, row: Report) -> list[Event]:
        by = self.who(row.by.name if row.by else None)
        told = [Event(at=row.at, order=row.pk, words=f"Reported: {row.said}", by=by)]
        if row.answered_at:
            by = self.who(row.answered_by.name if row.answered_by else None)
            said = f"Report answered: {row.answer}"
            told.append(Event(at=row.answered_at, order=row.pk, words=said, by=by))
        return told

    def of_entry(self, row: EntryRow) -> Event:
        said = row.content
        at = parse_datetime(said.get("at") or "") or row.at
        more = _of_flow(row) or said.get("reason") or said.get("decision") or said.get("why") or _of_tile(row)
        more = more or said.get("words") or ""
        return Event(at=at, order=row.id, words=row.act.capitalize(), by=self.who(row.by), more=str(more))

    def _event(self, row: Any, said: str, *, more: str = "", mark: str = "", take_back: str = "") -> Event:
        undone = row.undone is not None
        may = bool(take_back) and not undone and self._may_take_back(row)
        return Event(
            at=row.at,
            order=row.id,
            words=said[0].upper() + said[1:],
            by=self.who(row.by),
            more=more,
            mark="taken back" if undone else mark,
            undone=undone,
            take_back=address(take_back, self.fill.vessel.code, row.id) if may else "",
        )

    def _may_take_back(self, row: Any) -> bool:
        if self.may_all:
            return True
        own = self.may_own and self.reader is not None and row.by_id == self.reader.pk
        return own and timezone.localdate(row.entered_at) == self.today


def _of_tile(row: EntryRow) -> str:
    """What a tile was dipped for; nothing for any other act."""
    seconds = row.content.get("seconds") if row.act == "tile recorded" else None
    return f"dipped for {words.number(Decimal(seconds), 1, least=0)}\u00a0s" if seconds else ""


def _reading_words(sg: Decimal | None, u_sg: Decimal | None, volume_l: Decimal | None) -> str:
    level = f", {words.litres(volume_l)} in it" if volume_l is not None else ""
    if sg is None:
        return f"level read{level}"
    doubt = f" ± {words.sg(2 * u_sg)}" if u_sg else ""
    return f"reading {words.sg(sg)}{doubt}{level}"


def _use_words(volume_l: Decimal, pieces: int | None) -> str:
    said = f", {pieces} piece{'' if pieces == 1 else 's'}" if pieces else ""
    return f"used, {words.litres(volume_l)}{said}"


def _of_flow(row: EntryRow) -> str:
    """What was timed or measured, of the acts that have no line of their own."""
    said = row.content
    if row.act == "flow timed":
        return f"{words.number(Decimal(said['seconds']), 1, least=0)}{words.GAP}s"
    return ""
