"""What a technician asks about a report: since when in doubt, who used it meanwhile, what it may be."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from batches.models import Line, Step
from buckets.calc.causes import CAUSES, Evidence, Known, Order, order_to_look
from buckets.models import Cup, Fill, Reading, Report, Tile, Use
from buckets.operations.reports import TOLD_BACK
from buckets.operations.standing import STANDS
from buckets.trace import Origins, fills_with
from safety.models import Label
from studio import words
from studio.materials.models import Material
from studio.room.policy import Policy

MONTH = timedelta(days=30)  # "worked last month"; common practice, no source
MOST_USES = 200
# A gravity inside its window is no evidence against these: it may not shorten the window of doubt.
UNSEEN_BY_GRAVITY = (Report.Kind.SPECKS, Report.Kind.COLOUR, Report.Kind.SMELL)
FINE = (Material.Role.COLOURANT, Material.Role.OPACIFIER)


# --- since when


@dataclass(frozen=True)
class Good:
    """Something that shows the fill was good at a moment; ``tells`` False: not of what was reported."""

    at: datetime
    what: str
    tells: bool = True


def goods(report: Report) -> list[Good]:
    """What shows that it was good before the report, newest first; pouring in is the last of them."""
    fill = report.fill
    found = [Good(fill.poured_at, "poured in")]
    if fill.released_at and fill.released_at <= report.at:
        found.append(Good(fill.released_at, "released into use"))
    tile = _tile_before(report)
    if tile:
        found.append(Good(tile.at, "tile dipped"))
    reading = _good_reading(report)
    if reading:
        what = f"reading {words.sg(reading.sg)} inside its window"
        found.append(Good(reading.at, what, tells=report.kind not in UNSEEN_BY_GRAVITY))
    return sorted(found, key=lambda good: good.at, reverse=True)


def _tile_before(report: Report) -> Tile | None:
    """The newest tile before the report: most often the one the fill carries, which needs no query."""
    kept = report.fill.tile
    if kept is None or kept.at <= report.at:
        return kept
    return Tile.objects.filter(STANDS, fill=report.fill, at__lte=report.at).order_by("-at", "-id").first()


def _good_reading(report: Report) -> Reading | None:
    """A technician's newest reading before the report whose value lies in the window."""
    fill = report.fill
    if fill.target_sg is None or fill.half_window is None:
        return None
    kept = fill.check_reading
    if kept is None or (kept.at <= report.at and _inside(kept, fill)):
        return kept
    rows = fill.readings.filter(is_check=True, replaced_by=None, at__lte=report.at)
    low, high = fill.target_sg - fill.half_window, fill.target_sg + fill.half_window
    return rows.filter(sg__gte=low, sg__lte=high).order_by("-at", "-id").first()


def _inside(reading: Reading, fill: Fill) -> bool:
    """Whether its value lies in the window of the fill; both are known."""
    sg, target, half = reading.sg, fill.target_sg, fill.half_window
    return sg is not None and target is not None and half is not None and abs(sg - target) <= half


# --- who used it


@dataclass(frozen=True)
class Uses:
    """Logged uses of a stretch of time, newest first."""

    rows: list[Use]

    @property
    def count(self) -> int:
        return len(self.rows)

    @property
    def pieces(self) -> int:
        return sum(row.pieces or 0 for row in self.rows)

    @property
    def uncounted(self) -> int:
        """Uses without a number of pieces."""
        return sum(row.pieces is None for row in self.rows)

    @property
    def volume_l(self) -> Decimal:
        return sum((row.volume_l for row in self.rows), Decimal(0))


@dataclass(frozen=True)
class Doubt:
    """The window from the last good evidence to the report, what was used in it, and in the days before."""

    good: Good
    until: datetime
    goods: list[Good]
    inside: Uses
    before: Uses

    @property
    def length(self) -> timedelta:
        return self.until - self.good.at


def doubt_of(report: Report) -> Doubt:
    """The window of doubt: from what the technician set, else from the newest evidence that tells.

    ``before`` holds the uses before it that lie within 7 days of the report.
    """
    found = goods(report)
    newest = next(good for good in found if good.tells)
    good = Good(report.good_until, report.good_why or "as set") if report.good_until else newest
    since = min(good.at, report.at - TOLD_BACK)
    uses = Use.objects.filter(STANDS, fill=report.fill_id, at__gte=since, at__lte=report.at)
    rows = list(uses.select_related("by").order_by("-at", "-id")[:MOST_USES])
    return Doubt(
        good=good,
        until=report.at,
        goods=found,
        inside=Uses([row for row in rows if row.at >= good.at]),
        before=Uses([row for row in rows if row.at < good.at]),
    )


# --- how long it waits


@dataclass(frozen=True)
class Age:
    """How long a report waits or waited for its answer, in days, and whether that is too long."""

    days: int
    late: bool
    within: int


def age_of(report: Report, now: datetime, rules: Policy) -> Age:
    """Whole days from the report to its answer, or until now."""
    end = timezone.localdate(report.answered_at or now)
    days = max((end - timezone.localdate(report.at)).days, 0)
    within = int(rules.answer_within_days)
    return Age(days=days, late=days > within, within=within)


def held_for(report: Report, now: datetime) -> timedelta | None:
    """How long the hold under which it stood lasted, or lasts; None when there was none."""
    if report.held_from is None:
        return None
    return (report.held_until or now) - report.held_from


# --- what it may be


@dataclass(frozen=True)
class Sharing:
    """Other buckets with a lot of this fill: where the same was reported, and where nothing like it was."""

    reported: list[str]
    quiet: list[str]


def order_of(report: Report, came: Origins, doubt: Doubt, rules: Policy) -> Order | None:
    """In which order to look, by the table for what was reported; None where the reference has no table."""
    causes = CAUSES.get(report.kind)
    if causes is None:
        return None
    sharing = sharing_of(report, came)
    evidence = {"lot_change": _lot(sharing), "foreign_glaze": _foreign(report, sharing, doubt)}
    if report.kind == Report.Kind.SPECKS:
        evidence["unsieved_colourant"] = _unsieved(came)
    else:
        evidence["thin_or_thick"] = _coat(report)
        evidence["wrong_bucket_or_label"] = _label(report.fill)
        evidence["colourant_misweigh"] = _misweighed(came, rules)
    return order_to_look(causes=causes, evidence=evidence, new_glaze=_new(report))


def sharing_of(report: Report, came: Origins) -> Sharing:
    """Other fills in buckets that one of its lots came into, however they were mixed: one query."""
    if not came.lots:
        return Sharing([], [])
    same = Report.objects.filter(
        fill=OuterRef("pk"), kind=report.kind, at__gte=report.at - MONTH, at__lte=report.at + MONTH
    )
    rows = (
        Fill.objects.filter(emptied_at=None, pk__in=fills_with([share.lot.pk for share in came.lots]))
        .exclude(pk=report.fill_id)
        .annotate(reported=Exists(same))
        .values_list("vessel__code", "reported")
        .order_by("vessel__code")
    )
    found = list(rows)
    return Sharing(
        [code for code, reported in found if reported], [code for code, reported in found if not reported]
    )


def _lot(sharing: Sharing) -> Evidence:
    if sharing.reported:
        return Evidence("true", f"The same was reported of {_and(sharing.reported)}, with a lot of it.")
    if sharing.quiet:
        held = "hold" if len(sharing.quiet) > 1 else "holds"
        return Evidence(
            "false", f"{_and(sharing.quiet)} {held} a lot of it, too, and nothing like it was reported."
        )
    return Evidence("unknown", "No other bucket holds one of its lots.")


def _foreign(report: Report, sharing: Sharing, doubt: Doubt) -> Evidence:
    if sharing.reported:
        return Evidence("false", f"It is not this bucket alone: {_and(sharing.reported)}, too.")
    if sharing.quiet:
        return Evidence("true", f"Reported of this bucket only, not of {_and(sharing.quiet)}.")
    cups = Cup.objects.filter(fill=report.fill_id, at__gte=doubt.good.at, at__lte=report.at).count()
    if cups:
        return Evidence(
            "true", f"{cups} side cup{'s were' if cups > 1 else ' was'} made in the window of doubt."
        )
    return Evidence("unknown", "No other bucket to compare with, and no side cup on record.")


def _unsieved(came: Origins) -> Evidence:
    """Whether each batch was sieved as finely as its recipe asks."""
    batches = [found.batch for found in came.batches if found.batch]
    if not batches:
        return Evidence("unknown", "Not made here by batch, so its sieving is not on record.")
    steps = Step.objects.filter(STANDS, batch__in=batches, kind=Step.Kind.SIEVED, mesh__isnull=False)
    finest: dict[int, int] = {}
    for pk, mesh in steps.order_by("mesh").values_list("batch", "mesh"):
        finest[pk] = mesh or 0
    for batch in batches:
        wanted = batch.copy.get("sieve_mesh")
        if wanted and finest.get(batch.pk, 0) < int(wanted):
            done = f"at {finest[batch.pk]} mesh" if batch.pk in finest else "not at all, on record"
            return Evidence("true", f"Batch {batch.number} was sieved {done}; its recipe asks for {wanted}.")
    if all(batch.pk in finest for batch in batches):
        return Evidence("false", f"{_batches(batches)} sieved as finely as the recipe asks.")
    return Evidence("unknown", "The recipe asks for no mesh, or no sieving is on record.")


def _coat(report: Report) -> Evidence:
    """The thickness of a coat goes with SG: the newest reading before the report."""
    fill = report.fill
    row = fill.check_reading
    if row is not None and row.at > report.at:
        rows = fill.readings.filter(is_check=True, sg__isnull=False, replaced_by=None, at__lte=report.at)
        row = rows.order_by("-at", "-id").first()
    if row is None or row.sg is None or fill.target_sg is None or fill.half_window is None:
        return Evidence("unknown", "No reading with a window before the report.")
    inside = _inside(row, fill)
    where: tuple[Known, str] = ("false", "inside") if inside else ("true", "outside")
    return Evidence(where[0], f"SG {words.sg(row.sg)} before the report, {where[1]} the window.")


def _label(fill: Fill) -> Evidence:
    label = (
        Label.objects.filter(on_kind=Fill._meta.label_lower, on_id=fill.pk, purpose=Label.Purpose.BUCKET)
        .exclude(state=Label.State.VOID)
        .first()
    )
    if label is None:
        return Evidence("true", "No label is in force on this bucket.")
    if label.state == Label.State.PRINTED:
        return Evidence("true", f"Label {label.serial} was printed and never scanned on the bucket.")
    return Evidence("false", f"Label {label.serial} was scanned on the bucket.")


def _misweighed(came: Origins, rules: Policy) -> Evidence:
    """Whether a colourant was weighed on a scale too coarse for it."""
    batches = [found.batch for found in came.batches if found.batch]
    lines = Line.objects.filter(batch__in=batches, material__role__in=FINE, scale__isnull=False)
    rows = list(lines.select_related("scale", "batch"))
    if not rows:
        return Evidence("unknown", "No colourant of it is on record with the scale it was weighed on.")
    for line in rows:
        least_g = line.scale.division_g * rules.smallest_divisions if line.scale else Decimal(0)
        if line.target_g < least_g:
            return Evidence(
                "true",
                f"Batch {line.batch.number}: {line.name}, {words.grams(line.target_g)}, is less than the "
                f"{words.grams(least_g)} that {line.scale} weighs sensibly.",
            )
    return Evidence("false", "Every colourant was weighed on a scale fine enough for it.")


def _new(report: Report) -> bool:
    """Whether this glaze was not yet on the shelf a month before."""
    fill = report.fill
    if fill.poured_at <= report.at - MONTH:
        return False
    same = Q(recipe=fill.recipe_id) if fill.recipe_id else Q(glaze=fill.glaze)
    return not Fill.objects.filter(same, poured_at__lte=report.at - MONTH).exists()


def _and(names: Iterable[Any]) -> str:
    *most, last = map(str, names)
    return f"{', '.join(most)} and {last}" if most else last


def _batches(batches: list[Any]) -> str:
    numbers = _and(batch.number for batch in batches)
    return f"Batches {numbers} were" if len(batches) > 1 else f"Batch {numbers} was"
