"""The story of a fill: the newest of what was done and measured, corrections in sight."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Model
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from buckets.answers import who
from buckets.models import Care, Fill, Reading, Report, Use
from studio import words
from studio.people import acts, rights
from studio.people.models import Entry, Member

LENGTH = 40


@dataclass(frozen=True, kw_only=True)
class Event:
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
    readings: list[Reading]
    reports: list[Report]


def story_of(fill: Fill, reader: Member | None, *, names: bool = True) -> Story:
    """The last 40 events, newest first: five queries, however long the history is."""
    readings = _rows(Reading, fill, "replaced_by", "replaces", "glass", "scale")
    care = _rows(Care, fill, "reversed_by", "reverses")
    uses = _rows(Use, fill, "reversed_by", "reverses")
    reports = list(fill.reports.select_related("by", "answered_by")[:LENGTH])
    teller = _Teller(fill, reader, names)
    events = [teller.of_reading(row) for row in readings]
    events += [teller.of_care(row) for row in care]
    events += [teller.of_use(row) for row in uses]
    events += [event for row in reports for event in teller.of_report(row)]
    events += [teller.of_entry(entry) for entry in _other_acts(fill)]
    events.sort(key=lambda event: (event.at, event.order), reverse=True)
    return Story(events=events[:LENGTH], readings=readings, reports=reports)


def _rows(model: type[Model], fill: Fill, *with_rows: str) -> list[Any]:
    rows = model._default_manager.filter(fill=fill).select_related("by", *with_rows)
    return list(rows.order_by("-at", "-id")[:LENGTH])


def _other_acts(fill: Fill) -> list[Entry]:
    """Acts on the fill that left no row of their own above: held, lifted, released, label printed."""
    told = {model._meta.label_lower for model in (Reading, Care, Use, Report)}
    others = acts.story(fill).exclude(act="bucket label printed")  # "label printed" is told already
    return [entry for entry in others[:LENGTH] if entry.result_kind not in told]


class _Teller:
    """Words for each kind of row, for one reader."""

    def __init__(self, fill: Fill, reader: Member | None, names: bool) -> None:
        self.fill, self.reader, self.names = fill, reader, names
        self.today = timezone.localdate()
        self.open = fill.emptied_at is None

    def of_reading(self, row: Reading) -> Event:
        if row.replaces is not None and row.sg is None:
            said = f"Taken back: {_reading_words(row.replaces)}"
            return self._event(row, said, more=row.note)
        mark = "" if row.is_check else "member’s reading"
        return self._event(
            row,
            _reading_words(row),
            more=row.note,
            mark=mark,
            back=_reverse_of(row, "replaced_by"),
            take_back="take-back-reading",
        )

    def of_care(self, row: Care) -> Event:
        if row.reverses is not None:
            return self._event(row, f"Taken back: {_care_words(row.reverses)}", more=row.note)
        back = _reverse_of(row, "reversed_by")
        return self._event(row, _care_words(row), more=row.note, back=back, take_back="take-back-care")

    def of_use(self, row: Use) -> Event:
        if row.reverses is not None:
            return self._event(row, f"Taken back: {_use_words(row.reverses)}", more=row.raw)
        back = _reverse_of(row, "reversed_by")
        return self._event(row, _use_words(row), back=back, take_back="take-back-use")

    def of_report(self, row: Report) -> list[Event]:
        told = [Event(at=row.at, order=row.pk, words=f"Reported: “{row.words}”", by=who(row.by, self.names))]
        if row.answered_at:
            by = who(row.answered_by, self.names)
            said = f"Report answered: {row.answer}"
            told.append(Event(at=row.answered_at, order=row.pk, words=said, by=by))
        return told

    def of_entry(self, entry: Entry) -> Event:
        content = entry.content
        told_at = parse_datetime(content.get("at") or "") or entry.at
        more = content.get("reason") or content.get("decision") or content.get("why") or ""
        by = who(entry.by, self.names)
        said = entry.act.capitalize()
        return Event(at=told_at, order=entry.pk, words=said, by=by, more=str(more))

    def _event(
        self, row: Any, said: str, *, more: str = "", mark: str = "", back: Any = None, take_back: str = ""
    ) -> Event:
        may = bool(take_back) and back is None and self.open and self._may_take_back(row)
        return Event(
            at=row.at,
            order=row.pk,
            words=said[0].upper() + said[1:],
            by=who(row.by, self.names),
            more=more,
            mark="taken back" if back else mark,
            undone=back is not None,
            take_back=reverse(take_back, args=[self.fill.vessel.code, row.pk]) if may else "",
        )

    def _may_take_back(self, row: Any) -> bool:
        if self.reader is None:
            return False
        own = row.by_id == self.reader.pk and timezone.localdate(row.entered_at) == self.today
        return own or self.reader.may(rights.MAKE)


def _reverse_of(row: Any, name: str) -> Any:
    return getattr(row, name, None)


def _reading_words(row: Reading) -> str:
    level = f", {words.litres(row.volume_l)} in it" if row.volume_l is not None else ""
    if row.sg is None:
        return f"level read{level}"
    doubt = f" ± {words.sg(2 * row.u_sg)}" if row.u_sg else ""
    return f"reading {words.sg(row.sg)}{doubt}{level}"


def _care_words(row: Care) -> str:
    if row.kind == Care.Kind.WATER_IN and row.volume_l is not None:
        return f"water in, {words.litres(row.volume_l)}"
    return str(row.kind)


def _use_words(row: Use) -> str:
    pieces = f", {row.pieces} piece{'' if row.pieces == 1 else 's'}" if row.pieces else ""
    return f"used, {words.litres(row.volume_l)}{pieces}"
