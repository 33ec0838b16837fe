"""Asking for glaze, and what becomes of it: approved into a planned batch, declined, withdrawn."""

from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from batches import planning, wishes
from batches.copies import copy_of
from batches.models import Batch, Line, Request
from batches.planning import Plan, Wish
from batches.queries import refuse_short
from studio.errors import NotAllowed, Refused
from studio.materials.models import Material
from studio.materials.operations import stock
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.recipes.models import Recipe, Version
from studio.room.models import Vessel
from studio.room.policy import in_force

FIRST_NUMBER = 301  # request numbers start here, so that nobody takes one for a batch or a bucket


class RequestNot(Refused):
    """The request is in a state in which this cannot be done."""

    def __init__(self, request: Request, wanted: str) -> None:
        super().__init__(f"Request {request.number} is {request.get_state_display()} already; {wanted}.")


@act("glaze asked for")
def ask_for_glaze(
    *,
    version: Version,
    wish: str,
    litres: Decimal | None = None,
    dry_g: Decimal | None = None,
    to_sg: Decimal | None = None,
    vessel: Vessel | None = None,
    old_volume_l: Decimal | None = None,
    old_sg: Decimal | None = None,
    why: str = "",
    wanted_on: date | None = None,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Request:
    """Ask for ``litres`` at ``to_sg`` (default: the recipe's target), for ``dry_g`` grams of base or in all,
    or to bring ``vessel``, holding ``old_volume_l`` at ``old_sg``, to ``litres``.

    Refused with the numbers that would work when it can't be made (``CannotBeMade``).
    """
    refuse_unless(by, rights.ASK)
    _refuse_version(version)
    bring = wish == Request.Wish.BRING_TO
    wanted = Wish(
        kind=_known(wish),
        litres=litres,
        dry_g=dry_g,
        to_sg=version.target_sg if to_sg is None else to_sg,
        old_volume_l=(old_volume_l or Decimal(0)) if bring else Decimal(0),
        old_sg=old_sg if bring else None,
    )
    _refuse_vessel(vessel, needed=bring)
    plan = planning.plan(version, wanted, vessel=vessel, scales=planning.scales_in_use(), policy=in_force())
    return Request.objects.create(
        number=FIRST_NUMBER - 1 + take_number("request"),
        version=version,
        wish=wanted.kind,
        typed={"text": raw, **wishes.stored(wanted)},
        dry_g=plan.dry_g,
        base_g=plan.base_g,
        water_l=plan.water_l,
        to_volume_l=plan.to_volume_l,
        to_sg=plan.to_sg,
        vessel=vessel,
        old_volume_l=plan.old_volume_l,
        old_sg=plan.old_sg,
        why=why,
        wanted_on=wanted_on,
        by=by,
        at=at or timezone.now(),
    )


@act("request approved", about="request")
def approve_request(
    *, request: Request, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Batch:
    """Plan the batch of a request: number, full copy, lines, and every line reserved from stock.

    Refused naming material and grams when stock is short.
    """
    request = _locked(request)
    refuse_unless(by, rights.MAKE)
    _refuse_unless_asked(request, "it cannot be approved")
    moment = at or timezone.now()
    plan = plan_of(request)
    materials = _locked_materials(plan)
    refuse_short(plan)
    batch = _planned(request, plan, moment)
    for line in sorted(plan.lines, key=lambda x: (x.material_id, x.position)):
        stock.reserve(
            material=materials[line.material_id],
            mass_g=line.target_g,
            what=f"batch {batch.number}",
            line=str(line.position),
            by=by,
            at=at,
        )
    _decide(request, Request.State.APPROVED, by, moment)
    return batch


@act("request declined", about="request")
def decline_request(
    *, request: Request, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Request:
    """Say no, with the reason that the asker reads."""
    request = _locked(request)
    refuse_unless(by, rights.MAKE)
    _refuse_unless_asked(request, "it cannot be declined")
    if not reason.strip():
        raise Refused("Say why, so that the asker knows what to do instead.", field="reason")
    return _decide(request, Request.State.DECLINED, by, at or timezone.now(), reason.strip())


@act("request withdrawn", about="request")
def withdraw_request(
    *, request: Request, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Request:
    """The asker no longer needs it. Only before it is approved: then a batch stands on it."""
    request = _locked(request)
    refuse_unless(by, rights.ASK)
    if request.by_id != by.pk:
        raise NotAllowed(
            f"Only {request.by} can withdraw request {request.number}; a technician can decline it."
        )
    if request.state == Request.State.APPROVED:
        raise RequestNot(request, "a technician can abandon the batch")
    _refuse_unless_asked(request, "it cannot be withdrawn")
    return _decide(request, Request.State.WITHDRAWN, by, at or timezone.now())


def plan_of(request: Request) -> Plan:
    """What a request comes to with today's scales and rules."""
    wish = wishes.from_stored(request.typed)
    return planning.plan(
        request.version,
        wish,
        vessel=request.vessel,
        scales=planning.scales_in_use(),
        policy=in_force(),
    )


# --- inside


def _locked(request: Request) -> Request:
    # the nullable vessel stays out of the join: PostgreSQL locks no outer-joined row
    return (
        Request.objects.select_for_update(of=("self",))
        .select_related("version__recipe", "by")
        .get(pk=request.pk)
    )


def _locked_materials(plan: Plan) -> dict[int, Material]:
    ids = {line.material_id for line in plan.lines}
    return {m.pk: m for m in Material.objects.select_for_update().filter(pk__in=ids).order_by("pk")}


def _known(wish: str) -> str:
    if wish not in Request.Wish.values:
        raise Refused(
            "Choose how you say the amount: litres, dry mass, or bringing a bucket up.", field="wish"
        )
    return wish


def _refuse_version(version: Version) -> None:
    if version.state != Version.State.APPROVED:
        raise Refused(
            f"{version} is {version.get_state_display()}: only an approved version is made.", field="version"
        )
    if version.recipe.state == Recipe.State.RETIRED:
        raise Refused(f"{version.recipe.name} is retired and no longer made.", field="version")


def _refuse_vessel(vessel: Vessel | None, *, needed: bool) -> None:
    if vessel is None and needed:
        raise Refused("Which bucket is to be brought up?", field="vessel")
    if vessel is not None and vessel.state != Vessel.State.IN_SERVICE:
        raise Refused(f"{vessel.code} is put away. Choose another bucket.", field="vessel")


def _refuse_unless_asked(request: Request, wanted: str) -> None:
    if request.state != Request.State.ASKED:
        raise RequestNot(request, wanted)


def _decide(request: Request, state: str, by: Member, at: datetime, reason: str = "") -> Request:
    request.state, request.decided_by, request.decided_at, request.reason = state, by, at, reason
    request.save(update_fields=["state", "decided_by", "decided_at", "reason"])
    return request


def _planned(request: Request, plan: Plan, at: datetime) -> Batch:
    version, year = request.version, timezone.localtime(at).year
    batch = Batch.objects.create(
        number=f"{year % 100:02d}-{take_number(f'batch {year}'):03d}",
        request=request,
        version=version,
        copy={**copy_of(version), "wish": wishes.stored(wishes.from_stored(request.typed))},
        vessel=request.vessel,
        made_at=at,
        base_g=plan.base_g,
        dry_g=plan.dry_g,
        water_l=plan.water_l,
        first_water_l=plan.first_water_l,
        hold_back_pct=plan.hold_back_pct,
        to_volume_l=plan.to_volume_l,
        to_sg=plan.to_sg,
        half_window=version.half_window,
        particle_density=version.particle_density,
        old_volume_l=plan.old_volume_l,
        old_sg=plan.old_sg,
    )
    Line.objects.bulk_create(
        Line(
            batch=batch,
            position=line.position,
            kind=line.kind,
            material_id=line.material_id,
            name=line.name,
            hazard_words=line.hazard_words,
            parts=line.parts,
            share_pct=line.share_pct,
            target_g=line.target_g,
            band_g=line.band_g,
            scale_id=line.scale_id,
            loads=line.loads,
        )
        for line in plan.lines
    )
    return batch
