"""What was measured: flows, powder, repeats, and glass weighed with water."""

from collections.abc import Iterator

from django.db.models import F, OuterRef, Q, Subquery

from buckets.densities import STANDING
from buckets.models import Density, Fill, Flow, Reading
from studio.front.proof.problem import Problem
from studio.room.models import Calibration, Glass


def problems() -> Iterator[Problem]:
    yield from _flows()
    yield from _powder()
    yield from _repeats()
    yield from _glass()


def _flows() -> Iterator[Problem]:
    """The flow a fill carries is its newest that stands, its reference the newest marked as such."""
    stands = Flow.objects.filter(fill=OuterRef("pk"), seconds__isnull=False, replaced_by=None)
    stands = stands.order_by("-at", "-id")
    told = {
        "flow_id": Subquery(stands.values("pk")[:1]),
        "flow_reference_id": Subquery(stands.filter(is_reference=True).values("pk")[:1]),
    }
    fills = Fill.objects.filter(Q(flows__isnull=False) | ~Q(flow=None) | ~Q(flow_reference=None)).distinct()
    fills = fills.select_related("vessel").order_by("pk")
    for fill in fills.annotate(**{f"told_{name}": query for name, query in told.items()}):
        for name in told:
            kept, history = getattr(fill, name), getattr(fill, f"told_{name}")
            if kept != history:
                yield Problem(f"fill {fill.number}", f"carries {name} {kept}, its history says {history}.")
    other = Flow.objects.filter(replaces__isnull=False)
    wrong = ~Q(fill=F("replaces__fill")) | ~Q(cup=F("replaces__cup")) | Q(replaces__seconds=None)
    for pk, back in other.filter(wrong).values_list("pk", "replaces"):
        yield Problem(f"flow {pk}", f"replaces flow {back}, which it cannot.")


def _powder() -> Iterator[Problem]:
    """A fill whose powder was measured counts with the newest measurement that stands."""
    newest = Density.objects.filter(STANDING, fill=OuterRef("pk")).order_by("-at", "-id")
    fills = Fill.objects.annotate(measured=Subquery(newest.values("particle_density")[:1]))
    for fill in fills.filter(measured__isnull=False).exclude(measured=F("particle_density")):
        told = fill.measured  # type: ignore[attr-defined]
        yield Problem(
            f"fill {fill.number}", f"counts with powder of {fill.particle_density}, measured was {told}."
        )


def _repeats() -> Iterator[Problem]:
    """A reading repeats an earlier one of its own fill and kind."""
    wrong = ~Q(fill=F("repeats__fill")) | ~Q(is_check=F("repeats__is_check")) | Q(at__lt=F("repeats__at"))
    wrong |= Q(repeats__sg=None)
    told = Reading.objects.filter(repeats__isnull=False).filter(wrong)
    for pk, first in told.values_list("pk", "repeats"):
        yield Problem(f"reading {pk}", f"repeats reading {first}, which it cannot.")


def _glass() -> Iterator[Problem]:
    """A glass that was weighed with water has the volume that was found then."""
    newest = Calibration.objects.filter(glass=OuterRef("pk")).order_by("-at", "-id")
    found = {name: Subquery(newest.values(name)[:1]) for name in ("volume_ml", "tolerance_ml", "at")}
    told = Glass.objects.annotate(**{f"found_{name}": query for name, query in found.items()})
    same = Q(
        found_volume_ml=F("volume_ml"), found_tolerance_ml=F("tolerance_ml"), found_at=F("calibrated_at")
    )
    for glass in told.filter(calibrated_at__isnull=False).exclude(same):
        found_ml = glass.found_volume_ml  # type: ignore[attr-defined]
        yield Problem(f"glass {glass.name}", f"is kept with {glass.volume_ml} mL, water said {found_ml} mL.")
