"""Leach tests: recorded as the laboratory reported them, corrected by a new record that replaces."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone

from safety.calc.contact import claims_in
from safety.calc.freshness import months_after
from safety.calc.leach import ACID
from safety.contact_tables import careful_elements, limit_sets
from safety.documents import Document, keep
from safety.models import LeachResult, LeachTest
from studio.calc.days import said_day
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.recipes.models import Version
from studio.room import policy

MOST_ROWS = 120
UNITS = ("mg/L", "mg/dm²")
USES = {
    "tableware": "plate, bowl or the like",
    "cup": "cup or mug",
    "pitcher": "pitcher",
    "cooking": "cooking ware",
    "storage": "packing or storage",
}
SIZES = (("hours", 1, 1000), ("temperature_c", 0, 150), ("depth_mm", 0, 2000), ("volume_ml", 0, 100_000))
FREE_TEXT = ("clay", "firing", "layers", "laboratory", "accreditation", "report_number", "batch", "note")


@dataclass(frozen=True, kw_only=True)
class TypedResult:
    """What the report says of one element on one piece; ``below``: not found, ``value`` is the detection
    limit. ``unit`` mg/L (the same as µg/mL) or mg/dm²."""

    piece: int
    element: str
    value: Decimal
    unit: str
    below: bool = False


@dataclass(frozen=True, kw_only=True)
class Report:
    """What the report says beside its results, and until when the studio lets it count.

    ``depth_mm`` is the inner depth, ``volume_ml`` what a piece holds to the brim; ``expires_on`` the last day
    it counts: at the latest, and unless said, as many months after the report as the studio's rule says.
    """

    clay: str
    firing: str
    layers: str = ""
    batch: str = ""
    laboratory: str
    accreditation: str = ""
    report_number: str
    reported_on: date
    method: str
    leachant: str = ACID
    hours: Decimal = Decimal(24)
    temperature_c: Decimal | None = None
    depth_mm: Decimal
    volume_ml: Decimal
    use: str = "tableware"
    pieces: int
    limit_set: str
    expires_on: date | None = None
    note: str = ""


@act("leach test recorded", about="version")
def record_leach_test(
    *,
    version: Version,
    report: Report,
    results: Sequence[TypedResult],
    document: Document | None = None,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> LeachTest:
    """A leach test of fired pieces of one version, on one clay, in one firing, as its report says."""
    refuse_unless(by, rights.BINDER)
    return _keep(version, None, report, results, document, by, at, raw)


@act("leach test corrected", about="test")
def correct_leach_test(
    *,
    test: LeachTest,
    version: Version,
    report: Report,
    results: Sequence[TypedResult],
    document: Document | None = None,
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> LeachTest:
    """A record that was wrong is told anew and replaced; it is kept. The note says what was wrong.

    The report filed with the old one goes over unless another comes with this. A further test of the same
    pieces is a record of its own: it takes nothing back.
    """
    test = LeachTest.objects.select_for_update(of=("self",)).get(pk=test.pk)
    refuse_unless(by, rights.BINDER)
    if LeachTest.objects.filter(replaces=test).exists():
        raise Refused(f"{test} was corrected already. Correct the record that replaces it.")
    if not report.note.strip():
        raise Refused("What was wrong with it? Say it in a few words.", field="note")
    return _keep(version, test, report, results, document, by, at, raw)


# --- inside


def _keep(
    version: Version,
    before: LeachTest | None,
    report: Report,
    results: Sequence[TypedResult],
    document: Document | None,
    by: Member,
    at: datetime | None,
    raw: str,
) -> LeachTest:
    said = {name: _tidy(value) for name, value in asdict(report).items()}
    _refuse_words(said)
    _refuse_facts(said)
    latest = months_after(report.reported_on, int(policy.in_force().leach_months))
    said["expires_on"] = report.expires_on or latest
    _refuse_days(said, latest)
    _refuse_results(results, report.pieces)
    kept = (str(document), document.size) if document else ("", 0)
    if before and not document:
        kept = (before.file_digest, before.file_size)
    when = {"at": at} if at else {}
    row = LeachTest.objects.create(
        number=take_number("leach test"),
        version=version,
        replaces=before,
        file_digest=kept[0],
        file_size=kept[1],
        by=by,
        raw=raw,
        **said,
        **when,
    )
    for one in results:
        LeachResult.objects.create(test=row, by=by, **asdict(one), **when)
    if document:
        keep(document)
    return row


def _tidy(value: Any) -> Any:
    return " ".join(value.split()) if isinstance(value, str) else value


def _refuse_words(said: dict[str, Any]) -> None:
    wanted = {
        "clay": "Which clay? The test speaks for that clay alone.",
        "firing": "Which firing? Cone, atmosphere, schedule or the firing log.",
        "laboratory": "Which laboratory?",
        "report_number": "Which report? Its number is on it.",
    }
    for name, sentence in wanted.items():
        if not said[name]:
            raise Refused(sentence, field=name)
    for name in FREE_TEXT:
        if claims := claims_in(said[name]):
            raise Refused(f"“{claims[0]}” is a claim no test supports. Say what was found.", field=name)


def _refuse_facts(said: dict[str, Any]) -> None:
    if said["method"] not in LeachTest.Method.values:
        raise Refused("Choose the method the report names.", field="method")
    if said["method"] == LeachTest.Method.OTHER and not said["note"]:
        raise Refused("Which method? Name it in the note.", field="note")
    if said["use"] not in USES:
        raise Refused("Choose what the pieces are for.", field="use")
    if said["limit_set"] not in limit_sets():
        raise Refused("Choose the limits the report names.", field="limit_set")
    for name, least, most in SIZES:
        if said[name] is not None and not least <= said[name] <= most:
            raise Refused(f"This is at least {least} and at most {most}.", field=name)
    if not 1 <= said["pieces"] <= MOST_ROWS:
        raise Refused(f"A test has 1 to {MOST_ROWS} pieces.", field="pieces")


def _refuse_days(said: dict[str, Any], latest: date) -> None:
    if said["reported_on"] > timezone.localdate():
        raise Refused("That day is still to come. Copy the date from the report.", field="reported_on")
    if said["expires_on"] < said["reported_on"]:
        raise Refused("It cannot stop counting before it was reported.", field="expires_on")
    if said["expires_on"] > latest:
        raise Refused(
            f"By the studio's rule it counts until {said_day(latest)} at the latest.", field="expires_on"
        )


def _refuse_results(results: Sequence[TypedResult], pieces: int) -> None:
    if not results:
        raise Refused("Copy at least one result from the report.")
    if len(results) > MOST_ROWS:
        raise Refused(f"At most {MOST_ROWS} results.")
    known = {one.symbol for one in careful_elements()}
    seen: set[tuple[int, str]] = set()
    units: dict[str, str] = {}
    for one in results:
        what = f"{one.element}, piece {one.piece}"
        if one.element not in known:
            raise Refused(f"{what}: choose the element.")
        if one.unit not in UNITS or units.setdefault(one.element, one.unit) != one.unit:
            raise Refused(f"{what}: give every result of an element in one unit, {' or '.join(UNITS)}.")
        if not 1 <= one.piece <= pieces:
            raise Refused(f"{what}: the report has {pieces} pieces.", field="pieces")
        if (one.piece, one.element) in seen:
            raise Refused(f"{what} stands there twice.")
        if one.value < 0 or (one.below and one.value == 0):
            raise Refused(f"{what}: a result is at least 0, a detection limit more than 0.")
        seen.add((one.piece, one.element))
