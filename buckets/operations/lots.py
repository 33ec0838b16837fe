"""A bad lot, found late: every bucket with any share of it held in one act, and lifted again."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.urls import reverse
from django.utils import timezone

from buckets.models import Fill, HeldByLot, LotHold, Use
from buckets.operations.holding import hold_unless_held, release_hold
from buckets.operations.standing import STANDS
from buckets.trace import Spread, spread
from studio.errors import Refused
from studio.materials.models import Lot
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.people.operations.notices import tell


@act("every bucket of a lot held", about="lot")
def hold_all_of_lot(
    *, lot: Lot, reason: str, raw: str = "", by: Member, key: UUID | None = None, at: datetime | None = None
) -> LotHold:
    """Hold every fill in a bucket that has any share of ``lot``, through batches, merges and splits.

    One that is held already keeps its first reason and comes under this one when that is lifted. Whoever
    used any of them, emptied ones too, is told. Refused when no further bucket has a share of it.
    """
    reached = spread(lot)
    fills = list(_locked(one.fill.pk for one in reached.open))
    refuse_unless(by, rights.MAKE)
    if not reason.strip():
        raise Refused("Say why, so that the next person knows.", field="reason")
    under = _under(lot)
    wanted = [fill for fill in fills if fill.emptied_at is None and fill.pk not in under]
    if not wanted:
        held = "is held for it already" if under else "has a share of it"
        raise Refused(f"{'Every bucket with lot' if under else 'No bucket with lot'} {lot.code} {held}.")
    when = at or timezone.now()
    hold = LotHold.objects.create(lot=lot, reason=reason.strip(), by=by, at=when)
    for fill in wanted:
        hold_unless_held(fill, hold.held_reason, when)
        HeldByLot.objects.create(hold=hold, fill=fill)
    _tell_held(hold, reached, when)
    return hold


@act("hold of a lot lifted", about="lot")
def lift_all_of_lot(
    *, lot: Lot, decision: str, raw: str = "", by: Member, key: UUID | None = None, at: datetime | None = None
) -> Lot:
    """Lift what holds buckets for this lot, in all of them at once, with the decision.

    A bucket that is held for another reason, too, stays held for that. The users are told.
    """
    rows = HeldByLot.objects.filter(hold__lot=lot, lifted_at=None)
    fills = {fill.pk: fill for fill in _locked(rows.values_list("fill", flat=True))}
    refuse_unless(by, rights.MAKE)
    said = decision.strip()
    if not said:
        raise Refused("Say what was found and decided.", field="decision")
    standing = list(rows.select_related("hold__lot").order_by("id"))
    if not standing:
        raise Refused(f"No bucket is held for lot {lot.code}.")
    when = at or timezone.now()
    for row in standing:
        row.lifted_at, row.decision = when, said[:400]
        row.save(update_fields=["lifted_at", "decision"])
    LotHold.objects.filter(lot=lot, lifted_at=None).update(lifted_at=when, lifted_by=by, decision=said[:400])
    for row in standing:
        fill = fills[row.fill_id]
        if fill.emptied_at is None and fill.held_reason == row.hold.held_reason[:200]:
            release_hold(fill, when)
    _tell_lifted(lot, list(fills.values()), said, when)
    return lot


# --- inside


def _locked(fills: Iterable[int]) -> list[Fill]:
    """These fills, locked in the order of their numbers."""
    rows = Fill.objects.select_for_update(of=("self",)).select_related("vessel")
    return list(rows.filter(pk__in=list(fills)).order_by("pk"))


def _under(lot: Lot) -> set[int]:
    """Numbers of the fills that a hold of this lot stands on."""
    return set(HeldByLot.objects.filter(hold__lot=lot, lifted_at=None).values_list("fill", flat=True))


def _users(fills: list[Fill]) -> set[int]:
    uses = Use.objects.filter(STANDS, fill__in=fills).exclude(by=None)
    return set(uses.values_list("by", flat=True).distinct())


def _tell_held(hold: LotHold, reached: Spread, at: datetime) -> None:
    fills = [one.fill for one in reached.fills]
    names = ", ".join(sorted({f"{fill.vessel.code} {fill.glaze}" for fill in fills}))
    words = (
        f"Lot {hold.lot.code} is in doubt ({hold.reason}). You used {names}, or one of these: show pieces "
        "that are not fired yet to a technician."
    )
    tell(_users(fills) - {hold.by_id}, words, reverse("shelf"), at=at)


def _tell_lifted(lot: Lot, fills: list[Fill], decision: str, at: datetime) -> None:
    codes = ", ".join(sorted({fill.vessel.code for fill in fills}))
    words = f"Lot {lot.code} was looked at, its hold on {codes} is lifted: “{decision}”"
    tell(_users(fills), words, reverse("shelf"), at=at)
