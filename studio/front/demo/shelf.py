"""The buckets over six weeks: found, measured, stirred, watered, used from, complained about."""

import random
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import partial

from buckets.operations.care import log_use, stir, water_in
from buckets.operations.fills import take_over_bucket
from buckets.operations.labels import print_bucket_label
from buckets.operations.readings import record_reading
from buckets.operations.reports import answer_report, report
from studio.calc.apportion import largest_remainder
from studio.front.demo.cast import LAST_DAY, Cast, Event, table
from studio.front.demo.making import MAKINGS, label_numbered, release
from studio.front.demo.room import CYLINDER, FINE
from studio.people.models import Member

Row = dict[str, str]

FOUND = (
    "2026-02-02"  # what was on the shelf is taken over, with an empty space for each that was poured later
)
FULLER_CM = 2  # than four weeks later, when the tables begin
POURED = {making.vessel or (making.poured or ("",))[0] for making in MAKINGS if making.poured} - {"B11"}
UNSCANNED = "B13"  # its label is printed and not on the bucket yet
ROUND = "08:20"  # the round with the cylinder: a bucket every five minutes
LATE = {("B09", "2026-03-30"): "21:10"}  # measured again in the evening of that day
TYPED = {("B07", "2026-03-16"): "14.58"}  # typed so, taken as 1.458
AFTER_BATCH = {("B04", "2026-03-02")}  # the batch's own last reading is the first of its fill
UNSTIRRED = {("B10", "2026-03-30"): ("Ilse", "1.398", "not stirred before")}


def events(cast: Cast) -> Iterator[Event]:
    rows = table("readings")
    for number, bucket in enumerate(table("buckets")):
        its = [row for row in rows if row["bucket"] == bucket["bucket"]]
        if bucket["bucket"] not in POURED:
            yield from _found(cast, bucket, its[0], 4 * number)
        yield from _history(cast, bucket["bucket"], its, 5 * number)
    yield from _reports(cast)
    # somebody has just stirred it: for a while it is fit to dip
    yield (
        cast.now - timedelta(minutes=4),
        partial(_stir, cast, "B08", "Ngozi", cast.now - timedelta(minutes=4)),
    )


# --- taken over


def _found(cast: Cast, bucket: Row, first: Row, minutes: int) -> Iterator[Event]:
    at = cast.at(FOUND, "09:00", minutes)
    yield at, partial(_take_over, cast, bucket, first, at)
    later = cast.at(FOUND, "16:00", minutes)
    # B11 is brought up by a batch later, and gets its label of today then; B13 had its label renewed today
    serial = int(bucket["serial"]) if bucket["bucket"] not in ("B11", UNSCANNED) else None
    yield later, partial(release, cast, bucket["bucket"], serial, later)
    if bucket["bucket"] == UNSCANNED:
        renewed = cast.now - timedelta(hours=3)
        yield renewed, partial(_renew_label, cast, bucket, renewed)


def _renew_label(cast: Cast, bucket: Row, at: datetime) -> None:
    with label_numbered(int(bucket["serial"])):
        print_bucket_label(fill=cast.fill(bucket["bucket"]), by=cast.person("Tamsin"), at=at)


def _take_over(cast: Cast, bucket: Row, first: Row, at: datetime) -> None:
    known = bucket["glaze"] != "Reclaim mix"
    what = {"recipe": cast.recipe(bucket["glaze"])} if known else _reclaim()
    take_over_bucket(
        vessel=cast.vessel(bucket["bucket"]),
        depth_cm=Decimal(first["depth_cm"]) + FULLER_CM,
        by=cast.person("Tamsin"),
        at=at,
        **what,
    )


def _reclaim() -> dict[str, str]:
    """Glaze from the trap and the rinsing buckets: no recipe, no window."""
    return {
        "glaze": "Reclaim mix",
        "look": "whatever came together; for the outside of test pieces, not for food surfaces",
        "cone": "6",
        "atmosphere": "oxidation",
        "colour": "#8d8272",
        "note": "from the trap and the rinsing buckets",
    }


# --- measured, watered, used


def _history(cast: Cast, code: str, rows: list[Row], minutes: int) -> Iterator[Event]:
    chance = random.Random(code)  # noqa: S311 - who used it when is made up, and the same each time
    for number, row in enumerate(rows):
        if number:
            yield from _uses(cast, row, date.fromisoformat(rows[number - 1]["day"]), chance)
        yield from _measured(cast, row, minutes)


def _measured(cast: Cast, row: Row, minutes: int) -> Iterator[Event]:
    code, day = row["bucket"], row["day"]
    if (code, day) in AFTER_BATCH:
        return
    at = cast.at(day, ROUND, minutes)
    if (code, day) in LATE:
        # the table has it still valid on the last day, so it is less than the seven days old
        at = max(cast.at(day, LATE[code, day]), cast.now - timedelta(days=7, hours=-3))
    by = "Tamsin" if date.fromisoformat(day).isocalendar().week % 3 == 0 else "Bram"
    if (code, day) in UNSTIRRED:
        earlier = at - timedelta(minutes=20)
        yield earlier, partial(_read_by_member, cast, code, UNSTIRRED[code, day], earlier)
    before = at - timedelta(minutes=3)
    yield before, partial(_stir, cast, code, by, before)
    yield at, partial(_read, cast, row, by, at)
    if row["water_l"] and (code, day) != ("B11", "2026-03-09"):  # that water went in with a batch
        later = at + timedelta(minutes=2)
        yield later, partial(_water, cast, row, by, later)


def _stir(cast: Cast, code: str, by: str, at: datetime) -> None:
    stir(fill=cast.fill(code), by=cast.person(by), at=at)


def _read(cast: Cast, row: Row, by: str, at: datetime) -> None:
    glass, sg = cast.glass(CYLINDER), Decimal(row["sg"])
    typed = TYPED.get((row["bucket"], row["day"]))
    measured = (
        {"sg": sg, "raw": typed}
        if typed
        else {"gross_g": glass.empty_g + glass.volume_ml * sg, "glass": glass, "scale": cast.scale(FINE)}
    )
    record_reading(
        fill=cast.fill(row["bucket"]),
        depth_cm=Decimal(row["depth_cm"]),
        note=row["note"],
        by=cast.person(by),
        at=at,
        **measured,
    )


def _read_by_member(cast: Cast, code: str, told: tuple[str, str, str], at: datetime) -> None:
    by, sg, note = told
    record_reading(fill=cast.fill(code), sg=Decimal(sg), raw=sg, note=note, by=cast.person(by), at=at)


def _water(cast: Cast, row: Row, by: str, at: datetime) -> None:
    water_in(fill=cast.fill(row["bucket"]), volume_l=Decimal(row["water_l"]), by=cast.person(by), at=at)


def _uses(cast: Cast, row: Row, since: date, chance: random.Random) -> Iterator[Event]:
    """What was logged since the last reading, in as many entries as the table tells."""
    if not row["uses"]:
        return
    count, total = int(row["uses"]), Decimal(row["used_l"])
    days = (date.fromisoformat(row["day"]) - since).days
    busy = [day for day in range(days) if (row["bucket"], since + timedelta(days=day)) not in UNUSED]
    step = Decimal("0.01") if total >= count * Decimal("0.04") else Decimal("0.001")
    shares = [Decimal(chance.randint(5, 10)) for _ in range(count)]
    for litres in largest_remainder(shares=shares, total=total, step=step):
        at = cast.at(since + timedelta(days=chance.choice(busy)), "12:30", chance.randint(0, 470))
        by = chance.choices(("Ilse", "Ngozi", "Saoirse", "Marek"), (55, 30, 10, 5))[0]
        if chance.random() < 0.5:
            before = at - timedelta(minutes=2)
            yield before, partial(_stir, cast, row["bucket"], by, before)
        yield at, partial(_use, cast, row["bucket"], litres, by, at)


UNUSED = {
    ("B04", date(2026, 3, 2)),  # in testing until the evening of the next day
    ("B04", date(2026, 3, 3)),
    ("B11", date(2026, 3, 12)),  # a batch is made in it and tested
    ("B11", date(2026, 3, 13)),
    ("B01", date(2026, 3, 24)),  # held for the report of that day
}


def _use(cast: Cast, code: str, litres: Decimal, by: str, at: datetime) -> None:
    pieces = max(1, round(litres / Decimal("0.04")))
    log_use(fill=cast.fill(code), volume_l=litres, pieces=pieces, by=cast.person(by), at=at)


# --- something is wrong


def _reports(cast: Cast) -> Iterator[Event]:
    morning, evening = cast.at("2026-03-24", "11:20"), cast.at("2026-03-24", "18:30")
    yield morning, partial(_report, cast, "B01", "pinholes on a Gannet White bowl", "Marek", morning)
    yield evening, partial(_answer, cast, evening)
    today = cast.at(LAST_DAY, "10:40")
    yield today, partial(_report, cast, "B06", "lid of B06 does not close", None, today)


def _report(cast: Cast, code: str, words: str, by: str | None, at: datetime) -> None:
    person: Member | None = cast.person(by) if by else None
    report(fill=cast.fill(code), words=words, by=person, at=at)


def _answer(cast: Cast, at: datetime) -> None:
    answer_report(
        report=cast.fill("B01").reports.get(),
        answer="The coat measured 0.95 mm, thicker than the 0.9 mm of the recipe's note. The bucket is fine.",
        decision="false alarm",
        by=cast.person("Tamsin"),
        at=at,
    )
