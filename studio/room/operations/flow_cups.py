"""Flow cups: added, changed, retired, back in use."""

from datetime import datetime
from uuid import UUID

from studio.calc.flow import CUPS
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room.models import FlowCup
from studio.room.operations.keeping import brought_back, free_name, retired, saved


@act("flow cup added")
def add_flow_cup(
    *,
    name: str,
    standard: str = "",
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> FlowCup:
    """A cup with a hole. ``standard``: a name of ``CUPS``; empty for one of the studio's own making."""
    refuse_unless(by, rights.ROOM)
    return saved(FlowCup(name=free_name(FlowCup, name), standard=_known(standard)))


@act("flow cup changed", about="flow_cup")
def change_flow_cup(
    *,
    flow_cup: FlowCup,
    name: str,
    standard: str = "",
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> FlowCup:
    """Its marking read again. What was timed with it keeps its seconds and the viscosity of then."""
    refuse_unless(by, rights.ROOM)
    row = FlowCup.objects.select_for_update().get(pk=flow_cup.pk)
    row.name, row.standard = free_name(FlowCup, name, but=row.pk), _known(standard)
    return saved(row)


@act("flow cup retired", about="flow_cup")
def retire_flow_cup(
    *,
    flow_cup: FlowCup,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> FlowCup:
    """It is no longer offered; what was timed with it stays."""
    refuse_unless(by, rights.ROOM)
    return retired(FlowCup.objects.select_for_update().get(pk=flow_cup.pk), at)


@act("flow cup back in use", about="flow_cup")
def bring_back_flow_cup(
    *,
    flow_cup: FlowCup,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> FlowCup:
    """It is offered again."""
    refuse_unless(by, rights.ROOM)
    return brought_back(FlowCup.objects.select_for_update().get(pk=flow_cup.pk))


def _known(standard: str) -> str:
    if standard and standard not in CUPS:
        raise Refused("Choose the standard it was made to, or none.", field="standard")
    return standard
