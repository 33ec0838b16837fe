"""The last day: the opening round along the shelf, and a cup that Ilse thins for layering."""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from functools import partial

from buckets.models import Round
from buckets.operations.care import stir
from buckets.operations.cups import make_cup
from buckets.operations.rounds import begin_round, end_round, stop_at
from studio.front.demo.cast import LAST_DAY, Cast, Event, table

WALKER = "Tamsin"  # who measures in that week, too
STIRRED_ONLY = "B09"  # measured less than a week ago
PASSED = {"B12": "settled hard, waits for the drill"}
CUP = ("B03", "Ilse", "0.250", "1.38")


def events(cast: Cast) -> Iterator[Event]:
    begun = cast.at(LAST_DAY, "08:10")
    yield begun, partial(_begin, cast, begun)
    for number, bucket in enumerate(table("buckets")):
        at = cast.at(LAST_DAY, "08:22", 5 * number)  # two minutes after its reading
        yield at, partial(_stop, cast, bucket["bucket"], at)
    ended = cast.at(LAST_DAY, "09:35")
    yield ended, partial(_end, cast, ended)
    stirred, made = cast.at(LAST_DAY, "10:58"), cast.at(LAST_DAY, "11:00")
    yield stirred, partial(_stir, cast, stirred)
    yield made, partial(_cup, cast, made)


def _begin(cast: Cast, at: datetime) -> None:
    begin_round(kind=Round.Kind.OPENING, by=cast.person(WALKER), at=at)


def _stop(cast: Cast, code: str, at: datetime) -> None:
    why = PASSED.get(code, "")
    stop_at(
        round=Round.objects.get(),
        fill=cast.fill(code),
        stirred=code == STIRRED_ONLY,
        passed=bool(why),
        note=why,
        by=cast.person(WALKER),
        at=at,
    )


def _end(cast: Cast, at: datetime) -> None:
    end_round(round=Round.objects.get(), by=cast.person(WALKER), at=at)


def _stir(cast: Cast, at: datetime) -> None:
    code, by, *_ = CUP
    stir(fill=cast.fill(code), by=cast.person(by), at=at)


def _cup(cast: Cast, at: datetime) -> None:
    code, by, litres, sg = CUP
    make_cup(fill=cast.fill(code), volume_l=Decimal(litres), to_sg=Decimal(sg), by=cast.person(by), at=at)
