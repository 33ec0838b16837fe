"""What is seen at a bucket beside its gravity: how Linseed and Damson Skin flow, how Cinder Rose settles.

Seconds and millimetres are made up; Linseed runs faster after the water nobody wrote down.
"""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from functools import partial

from buckets.models import Settling
from buckets.operations.flow import record_flow
from buckets.operations.settling import observe_settling
from studio.front.demo.cast import Cast, Event
from studio.front.demo.room import FLOW_CUP
from studio.room.models import FlowCup

# bucket, day, clock, seconds, whether the bucket is held against it from then on
FLOWS = (
    ("B04", "2026-03-09", "09:40", "42.0", True),
    ("B04", "2026-03-23", "09:40", "37.5", False),
    ("B04", "2026-04-06", "09:40", "38.5", False),
    ("B07", "2026-03-09", "09:50", "51.0", False),
    ("B07", "2026-04-06", "09:50", "56.5", False),
)
SETTLED = ("B12", "2026-03-16", "09:55")


def events(cast: Cast) -> Iterator[Event]:
    for code, day, clock, seconds, is_reference in FLOWS:
        at = cast.at(day, clock)
        yield at, partial(_flow, cast, code, seconds, is_reference, at)
    code, day, clock = SETTLED
    yield cast.at(day, clock), partial(_settled, cast, code, cast.at(day, clock))


def _flow(cast: Cast, code: str, seconds: str, is_reference: bool, at: datetime) -> None:
    record_flow(
        fill=cast.fill(code),
        cup=FlowCup.objects.get(name=FLOW_CUP),
        seconds=Decimal(seconds),
        temperature_c=Decimal(20),
        is_reference=is_reference,
        by=cast.person("Bram"),
        at=at,
    )


def _settled(cast: Cast, code: str, at: datetime) -> None:
    observe_settling(
        fill=cast.fill(code),
        kind=Settling.Kind.CLEAR_LAYER,
        minutes=Decimal(10),
        clear_mm=Decimal(14),
        note="settles hard: a firm layer on the bottom of the jar",
        by=cast.person("Bram"),
        at=at,
    )
