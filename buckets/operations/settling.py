"""How fast a glaze settles, seen once: a clear layer in a jar, or a sample from dip depth; or taken back."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from buckets.models import Fill, Settling
from buckets.operations.standing import moment, opened, refuse_taking_back, restate
from studio.calc import settling
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded
from studio.room import policy
from studio.room.policy import Policy

SG_HIGHEST = Decimal("2.2")  # no glaze slurry is denser; common practice, no source
MOST_LOSS = 0.5  # past this the loss is no longer in step with the minutes; derived, see the reference, i
LEAST_MIN, MOST_MIN = Decimal(1), Decimal(240)  # between the two a stir timer is of use
DAY_MIN = Decimal(1440)


@act("settling observed", about="fill")
def observe_settling(
    *,
    fill: Fill,
    kind: str,
    minutes: Decimal,
    sg: Decimal | None = None,
    clear_mm: Decimal | None = None,
    top_sg: Decimal | None = None,
    temperature_c: Decimal | None = None,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Settling:
    """One look at a stirred glaze left alone for ``minutes``; from now on its stir holds as long as it says.

    *clear layer*: ``clear_mm`` of clear water stand above it in a jar. *top sample*: a sample from dip
    depth has ``top_sg``, stirred it had ``sg`` (both without unit). ``sg`` None: the technician's last
    reading. ``settles_min`` is kept between 1 and 240 minutes. Later fills of the recipe start from it.
    Refused when nothing has settled yet, or more than half of the solids has left dip depth.
    """
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    sg = sg if sg is not None else fill.check_reading.sg if fill.check_reading else None
    if sg is None:
        raise Refused("How dense was it when stirred? It has no reading yet.", field="sg")
    if not 1 < sg <= SG_HIGHEST:
        raise Refused("A stirred glaze lies between 1.00 and 2.20.", field="sg")
    if not 0 < minutes <= DAY_MIN:
        raise Refused("How long did it stand? More than 0 min, at most a day (1440 min).", field="minutes")
    settles_min = _settles_min(kind, minutes, sg, clear_mm, top_sg, policy.in_force())
    row = Settling.objects.create(
        fill=fill,
        kind=kind,
        sg=sg,
        minutes=minutes,
        clear_mm=clear_mm if kind == Settling.Kind.CLEAR_LAYER else None,
        top_sg=top_sg if kind == Settling.Kind.TOP_SAMPLE else None,
        temperature_c=temperature_c,
        settles_min=settles_min,
        note=note.strip(),
        raw=raw,
        by=by,
        at=moment(fill, at),
    )
    restate(fill)
    return row


def _settles_min(
    kind: str,
    minutes: Decimal,
    sg: Decimal,
    clear_mm: Decimal | None,
    top_sg: Decimal | None,
    rules: Policy,
) -> Decimal:
    """Minutes until the next stir is due, by the studio's rules for a clear layer and for a loss."""
    if kind == Settling.Kind.CLEAR_LAYER:
        if clear_mm is None or clear_mm <= 0:
            raise Refused(
                "How many mm of clear water stood above it? None yet: wait longer, then look again.",
                field="clear_mm",
            )
        found = minutes * rules.settling_clear_mm / clear_mm
    elif kind == Settling.Kind.TOP_SAMPLE:
        found = minutes * _share_of_time(sg, top_sg, rules.settling_loss_pct)
    else:
        raise Refused("A clear layer in a jar, or a sample from dip depth: which one?", field="kind")
    return rounded(float(min(max(found, LEAST_MIN), MOST_MIN)), 1)


def _share_of_time(sg: Decimal, top_sg: Decimal | None, allowed_pct: Decimal) -> Decimal:
    if top_sg is None:
        raise Refused("What did the sample from dip depth weigh, as specific gravity?", field="top_sg")
    if top_sg < 1:
        raise Refused("Nothing in a bucket is lighter than water, 1.00.", field="top_sg")
    if top_sg >= sg:
        raise Refused(
            f"The sample is not thinner than the stirred glaze ({sg:.3f}): nothing has settled yet. "
            "Wait longer, then take another.",
            field="top_sg",
        )
    loss = settling.loss_of_top(sg=float(sg), sg_top=float(top_sg))
    if loss > MOST_LOSS:
        raise Refused(
            "More than half of the solids has left the top: take the sample sooner after stirring.",
            field="top_sg",
        )
    return Decimal(settling.allowed_s(t_obs_s=1.0, loss_obs=loss, loss_allow=float(allowed_pct) / 100))


@act("settling taken back", about="settling")
def take_back_settling(
    *, settling: Settling, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Settling:
    """The look was wrong: a second row takes it back, and the one before it, or the recipe's, holds again."""
    fill = opened(settling.fill)
    refuse_taking_back(settling, by)
    if not reason.strip():
        raise Refused("Say what was wrong with it.", field="reason")
    row = Settling.objects.create(
        fill=fill,
        kind=settling.kind,
        sg=settling.sg,
        minutes=settling.minutes,
        clear_mm=settling.clear_mm,
        top_sg=settling.top_sg,
        temperature_c=settling.temperature_c,
        settles_min=settling.settles_min,
        note=reason.strip(),
        reverses=settling,
        by=by,
        at=at or timezone.now(),
    )
    restate(fill)
    return row
