"""What every act on a fill needs: the open fill locked, the moment it happened, the facts kept in step.

The facts a fill carries "as it stands" are always worked out afresh from the newest rows that stand,
whatever the act was: so late entries and corrections lead to the same fill as if they had come in order.
"""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Q, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from buckets.errors import DeeperThanTheBucket, FillEmptied, NotYoursToTakeBack, OverTheBrim, TakenBackAlready
from buckets.happenings import STANDS
from buckets.models import Care, Fill, Reading, Settling
from buckets.operations import intervals
from studio.errors import Refused
from studio.people import rights
from studio.people.models import Member
from studio.quantities import rounded
from studio.recipes.models import Recipe
from studio.room.models import Vessel

AHEAD = timedelta(minutes=1)  # a clock that runs this little ahead is no reason to refuse
KEPT = (
    "volume_l",
    "check_reading",
    "member_reading",
    "stirred_at",
    "stirred_by",
    "flow",
    "flow_reference",
    "tile",
    "settles_min",
)


def locked(fill: Fill) -> Fill:
    """The fill as it is now, locked until the act is done."""
    return Fill.objects.select_for_update(of=("self",)).select_related("vessel").get(pk=fill.pk)


def opened(fill: Fill) -> Fill:
    """As ``locked``; ``FillEmptied`` when the fill has left its bucket."""
    row = locked(fill)
    if row.emptied_at:
        raise FillEmptied(row)
    return row


def moment(fill: Fill, at: datetime | None) -> datetime:
    """When it happened: now, or the time that was told, which lies between pouring in and now."""
    now = timezone.now()
    if at is None:
        return now
    if at > now + AHEAD:
        raise Refused("This time is still to come. When was it done?", field="at")
    if at < fill.poured_at:
        raise Refused(f"That is before {fill.glaze} was in {fill.vessel.code}.", field="at")
    return at


def litres(vessel: Vessel, *, volume_l: Decimal | None, depth_cm: Decimal | None) -> Decimal | None:
    """Litres as told, or from the depth on the stick (cm); None when neither was said."""
    if volume_l is not None and depth_cm is not None:
        raise Refused("Give the depth or the litres, not both: which one counts?", field="volume_l")
    if depth_cm is not None:
        if not 0 <= depth_cm <= vessel.height_cm:
            raise DeeperThanTheBucket(vessel, depth_cm)
        return rounded(vessel.volume_at_l(float(depth_cm)), 3)
    if volume_l is not None and volume_l > rounded(vessel.brim_l(), 3):
        raise OverTheBrim(vessel, volume_l, field="volume_l")
    return volume_l


def refuse_taking_back(row: Any, by: Member | None) -> None:
    """A technician may, and whoever wrote it on the day they did; refused when it is done already."""
    own = by is not None and row.by_id == by.pk and _same_day(row.entered_at, timezone.now())
    if by is None or not (own or by.holds(rights.MAKE)):
        raise NotYoursToTakeBack()
    back = "replaces" if isinstance(row, Reading) else "reverses"
    if getattr(row, f"{back}_id") or type(row).objects.filter(**{back: row}).exists():
        raise TakenBackAlready()


def _same_day(one: datetime, other: datetime) -> bool:
    return timezone.localdate(one) == timezone.localdate(other)


def restate(fill: Fill) -> None:
    """Work out what the fill carries as it stands, and keep it. The fill must be locked."""
    measured = fill.readings.filter(sg__isnull=False, replaced_by=None).order_by("-at", "-id")
    stirred = fill.care.filter(STANDS, kind=Care.Kind.STIRRED).order_by("-at", "-id").first()
    fill.check_reading = measured.filter(is_check=True).first()
    fill.member_reading = measured.filter(is_check=False).first()
    fill.stirred_at = stirred.at if stirred else None
    fill.stirred_by_id = stirred.by_id if stirred else None
    flows = fill.flows.filter(seconds__isnull=False, replaced_by=None).order_by("-at", "-id")
    fill.flow, fill.flow_reference = flows.first(), flows.filter(is_reference=True).first()
    fill.tile = fill.tiles.filter(STANDS).order_by("-at", "-id").first()
    fill.settles_min = _settles_min(fill)
    fill.volume_l = _volume_l(fill)
    intervals.restate_intervals(fill)
    fill.save(update_fields=[*KEPT, *intervals.KEPT])


def _settles_min(fill: Fill) -> Decimal | None:
    """As last seen in this fill; with every look taken back what it began with; never looked at: as it is."""
    seen = list(fill.settlings.order_by("-at", "-id"))
    undone = {row.reverses_id for row in seen}
    standing = [row for row in seen if row.reverses_id is None and row.pk not in undone]
    if standing:
        return standing[0].settles_min
    if not seen:
        return fill.settles_min
    return settles_at_first(fill.recipe, fill.poured_at, fill.recipe.settles_min if fill.recipe else None)


def settles_at_first(recipe: Recipe | None, at: datetime, said: Decimal | None) -> Decimal | None:
    """Minutes a new fill starts from: as last seen in any fill of its recipe, else as the recipe ``said``."""
    seen = Settling.objects.filter(STANDS, fill__recipe=recipe, at__lte=at).order_by("-at", "-id")
    last = seen.first() if recipe else None
    return last.settles_min if last else said


def _volume_l(fill: Fill) -> Decimal:
    """The newest level that was read, with what care did to it since, less what was used; never below 0."""
    level = fill.readings.filter(volume_l__isnull=False, replaced_by=None).order_by("-at", "-id").first()
    since = _since(level) if level else Q()
    change = Coalesce("change_l", "volume_l")  # entries of water from before changes were kept have volume_l
    done = fill.care.filter(STANDS, since).aggregate(litres=Sum(change))
    used = fill.uses.filter(STANDS, since).aggregate(litres=Sum("volume_l"))
    start = level.volume_l if level else Decimal(0)
    return max(start + _total(done["litres"]) - _total(used["litres"]), Decimal(0))


def _since(level: Reading) -> Q:
    """Later than the level; of two at one moment, what was written down later counts as later."""
    return Q(at__gte=level.at) & (Q(at__gt=level.at) | Q(entered_at__gte=level.entered_at))


def _total(litres: Any) -> Decimal:
    return Decimal(0) if litres is None else litres
