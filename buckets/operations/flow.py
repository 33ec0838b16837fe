"""How a glaze flows: seconds through a cup, kept, marked as the bucket's own reference, taken back."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from buckets.errors import NotYoursToTakeBack, TakenBackAlready
from buckets.models import Fill, Flow
from buckets.operations.standing import moment, opened, restate
from studio.calc.flow import CUPS, through_cup
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded
from studio.room.models import FlowCup

LONGEST_S = Decimal(900)  # a cup that has not run empty by then is blocked; common practice, no source


@act("flow timed", about="fill")
def record_flow(
    *,
    fill: Fill,
    cup: FlowCup,
    seconds: Decimal,
    temperature_c: Decimal | None = None,
    is_reference: bool = False,
    note: str = "",
    by: Member,
    raw: str = "",
    key: UUID | None = None,
    at: datetime | None = None,
) -> Flow:
    """Seconds (above 0) a stirred, sieved glaze took through a cup, and its temperature (0 to 60 C).

    Inside the range of a standard cup the nominal viscosity (mm2/s) is kept, too; outside, the seconds
    alone. ``is_reference``: the fill is held against this one from now on; a technician says so.
    """
    fill = opened(fill)
    refuse_unless(by, rights.MAKE if is_reference else rights.USE)
    at = moment(fill, at)
    if cup.retired_at is not None:
        raise Refused(f"{cup.name} is retired. Choose one in use.", field="cup")
    if not 0 < seconds <= LONGEST_S:
        raise Refused("Between 0 and 900 s: a cup that runs longer is blocked. Sieve first.", field="seconds")
    if temperature_c is not None and not 0 <= temperature_c <= 60:
        raise Refused("A glaze has between 0 and 60 °C.", field="temperature_c")
    row = Flow.objects.create(
        fill=fill,
        cup=cup,
        seconds=seconds,
        viscosity_mm2_s=_viscosity(cup, seconds),
        temperature_c=temperature_c,
        is_reference=is_reference,
        note=note,
        raw=raw,
        by=by,
        at=at,
    )
    restate(fill)
    return row


@act("flow marked as it should be", about="flow")
def mark_flow_reference(
    *, flow: Flow, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Flow:
    """Hold the bucket against this flow from now on: the same seconds in a row that replaces it."""
    fill = opened(flow.fill)
    refuse_unless(by, rights.MAKE)
    _refuse_gone(flow)
    if flow.is_reference:
        raise Refused("The bucket is held against it already.")
    row = Flow.objects.create(
        fill=fill,
        cup=flow.cup,
        seconds=flow.seconds,
        viscosity_mm2_s=flow.viscosity_mm2_s,
        temperature_c=flow.temperature_c,
        is_reference=True,
        note=flow.note,
        replaces=flow,
        raw=flow.raw,
        by=flow.by,
        at=flow.at,
    )
    restate(fill)
    return row


@act("flow taken back", about="flow")
def take_back_flow(
    *, flow: Flow, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Flow:
    """It was timed wrong: a second row takes it back. A technician may, and whoever timed it, on that day."""
    fill = opened(flow.fill)
    own = flow.by_id == by.pk and timezone.localdate(flow.entered_at) == timezone.localdate()
    if not (own or by.holds(rights.MAKE)):
        raise NotYoursToTakeBack()
    _refuse_gone(flow)
    if not reason.strip():
        raise Refused("Say what was wrong with it.", field="reason")
    row = Flow.objects.create(
        fill=fill, cup=flow.cup, note=reason.strip(), replaces=flow, by=by, at=at or timezone.now()
    )
    restate(fill)
    return row


def _refuse_gone(flow: Flow) -> None:
    if flow.seconds is None or Flow.objects.filter(replaces=flow).exists():
        raise TakenBackAlready()


def _viscosity(cup: FlowCup, seconds: Decimal) -> Decimal | None:
    if cup.standard not in CUPS:
        return None
    told = through_cup(cup=cup.standard, seconds=float(seconds))
    return rounded(told.viscosity_mm2_s, 1) if told.in_range else None
