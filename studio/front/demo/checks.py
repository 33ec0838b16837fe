"""Safety checks of the last weeks, the trap overdue by three days, and a spill that was seen to; invented."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import partial

from django.urls import reverse

from safety.models import Incident, SafetyCheck
from safety.operations.checks import record_check, tick_cleaning
from safety.operations.incidents import add_to_spill, report_spill
from studio.front.demo.cast import LAST_DAY, Cast, Event
from studio.people.models import Notice
from studio.people.operations.notices import mark_read

Kind = SafetyCheck.Kind
CLEANED = "21:30"  # when the glaze room is cleaned
EVENINGS = 28  # the last of them yesterday
CLEANERS = ("Tamsin", "Bram", "Ngozi", "Yusuf", "Ilse")
# kind, day, whose respirator, where, what was found
CHECKS = (
    (Kind.RESPIRATOR, "2025-06-23", "Yusuf", "", "half mask, medium: tight; filters new"),
    (Kind.RESPIRATOR, "2025-09-22", "Tamsin", "", "half mask, small: tight; filters new"),
    (Kind.RESPIRATOR, "2025-12-15", "Bram", "", "shaved, tight; filters new"),
    (Kind.FILTER, "2026-02-16", "", "", "bag changed, seals whole"),
    (Kind.EXTRACTION, "2026-02-23", "", "", "gauge at 130 Pa, mist drawn in"),
    (Kind.TRAP, "2026-03-13", "", "", "two thirds full, emptied"),
    (Kind.FILTER, "2026-03-16", "", "", "seals whole, filter grey"),
    (Kind.TRAP, "2026-03-20", "", "", "half full, emptied"),
    (Kind.EXTRACTION, "2026-03-23", "", "", "gauge at 120 Pa, mist drawn in"),
    (Kind.TRAP, "2026-03-27", "", "", "two thirds full, emptied"),
)
SPILLED = "2026-03-18"


def events(cast: Cast) -> Iterator[Event]:
    for kind, day, whose, place, found in CHECKS:
        at = cast.at(day, "10:20")
        yield at, partial(_check, cast, kind, at, whose, place, found)
    for ago in range(EVENINGS, 0, -1):
        at = cast.at(LAST_DAY - timedelta(days=ago), CLEANED)
        yield at, partial(_tick, cast, CLEANERS[ago % len(CLEANERS)], at)
    spilled, seen = cast.at(SPILLED, "15:40"), cast.at(SPILLED, "17:05")
    yield spilled, partial(_spill, cast, spilled)
    yield seen, partial(_seen_to, cast, seen)


def _check(cast: Cast, kind: str, at: datetime, whose: str, place: str, found: str) -> None:
    person = cast.person(whose) if whose else None
    by = cast.person("Tamsin" if whose == "Bram" else "Bram")
    record_check(kind=kind, good=True, person=person, place=place, found=found, by=by, at=at)


def _tick(cast: Cast, name: str, at: datetime) -> None:
    tick_cleaning(by=cast.person(name), at=at)


def _spill(cast: Cast, at: datetime) -> None:
    report_spill(
        what="Dry powder. About a cup, the tub stood open on the edge.",
        done="Everybody out, door shut; misted it, wiped it up, bagged the wipes.",
        place="by the bulk scale",
        material=cast.material("Silica"),
        by=cast.person("Ngozi"),
        at=at,
    )


def _seen_to(cast: Cast, at: datetime) -> None:
    bram = cast.person("Bram")
    said = "Floor wiped wet twice more, bag sealed and labelled as waste. Tubs have a lid on from now on."
    spill = Incident.objects.get()
    add_to_spill(spill=spill, what=said, closes=True, by=bram, at=at)
    told = Notice.objects.filter(address=reverse("spill", args=[spill.number]))
    for notice in told.select_related("to"):
        mark_read(notice=notice, by=notice.to, at=at)
