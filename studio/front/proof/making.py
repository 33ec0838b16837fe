"""Making: requests, batches, their lines, what was weighed, and what is promised to them."""

from collections.abc import Iterator
from decimal import Decimal

from django.db.models import Count, F, Q, Sum

from batches.models import Batch, Line, Request, Step, Weighing
from studio import words
from studio.front.proof.problem import Problem, exact, ill_reversed, total_of
from studio.materials.models import Reservation
from studio.recipes.models import Version

NOUGHT = Decimal(0)
State = Batch.State
WEIGHED_OUT = (State.WET, State.TESTING, State.RELEASED, State.REJECTED)
CLOSED = (State.RELEASED, State.REJECTED, State.ABANDONED)
NEEDING = (State.PLANNED, State.WEIGHING, State.PAUSED)


def problems() -> Iterator[Problem]:
    yield from _requests()
    yield from _batches()
    yield from _lines()
    yield from _weighings()
    yield from _steps()
    yield from _promises()


def _requests() -> Iterator[Problem]:
    agreed = Q(state__in=(Request.State.APPROVED, Request.State.MADE))
    for request in Request.objects.filter(agreed, batch=None):
        yield Problem(f"request {request.number}", f"is {request.state} without a batch.")
    for request in Request.objects.filter(~agreed, batch__isnull=False):
        yield Problem(f"request {request.number}", f"is {request.state} and has a batch.")
    poured = Q(batch__state__in=(State.TESTING, State.RELEASED))
    for request in Request.objects.filter(~Q(state=Request.State.MADE) & poured):
        yield Problem(f"request {request.number}", f"is {request.state}, but its batch was poured.")


def _batches() -> Iterator[Problem]:
    for batch in Batch.objects.exclude(version__state=Version.State.APPROVED):
        yield Problem(str(batch), "is made from a version that is not approved.")
    sums = Batch.objects.annotate(sum_g=total_of(Line.objects.all(), "batch", "target_g"))
    for batch in sums.exclude(dry_g=F("sum_g")):
        said = f"is {_g(batch.dry_g)} dry, its lines add up to {_g(batch.sum_g)}."  # type: ignore[attr-defined]
        yield Problem(str(batch), said)
    begun = Count("lines", filter=Q(lines__weighed_g__gt=0))
    undone = Count("lines", filter=Q(lines__done_at=None))
    rows = Batch.objects.annotate(begun=begun, undone=undone)
    for batch in rows.filter(state=State.PLANNED).filter(Q(begun__gt=0) | Q(frozen_at__isnull=False)):
        yield Problem(str(batch), "is planned, but weighing began.")
    for batch in rows.exclude(state__in=(State.PLANNED, State.ABANDONED)).filter(frozen_at=None):
        yield Problem(str(batch), f"is {batch.state}, but its targets were never frozen.")
    for batch in rows.filter(state__in=WEIGHED_OUT, undone__gt=0):
        yield Problem(str(batch), f"is {batch.state} with a line that is not done.")
    for batch in rows.filter(state__in=(State.WEIGHING, State.PAUSED), undone=0):
        yield Problem(str(batch), f"is {batch.state}, but every line is done.")
    for batch in Batch.objects.filter(Q(closed_at=None) & Q(state__in=CLOSED)):
        yield Problem(str(batch), f"is {batch.state} without the time it was closed.")
    for batch in Batch.objects.filter(Q(closed_at__isnull=False) & ~Q(state__in=CLOSED)):
        yield Problem(str(batch), f"is {batch.state} and closed.")


def _lines() -> Iterator[Problem]:
    rows = Line.objects.select_related("batch").annotate(
        low_g=exact(F("target_g") - F("band_g")), high_g=exact(F("target_g") + F("band_g"))
    )
    sums = rows.annotate(sum_g=total_of(Weighing.objects.all(), "line", "net_g"))
    for line in sums.exclude(weighed_g=F("sum_g")):
        said = f"says {_g(line.weighed_g)}, its weighings add up to {_g(line.sum_g)}."  # type: ignore[attr-defined]
        yield Problem(_named(line), said)
    for line in rows.filter(
        Q(weighed_g__gt=F("high_g")) | Q(done_at__isnull=False, weighed_g__lt=F("low_g"))
    ):
        said = f"{_g(line.weighed_g)} for {_g(line.target_g)} ± {_g(line.band_g)} is outside its band."
        yield Problem(_named(line), said)
    for line in rows.filter(done_at=None, weighed_g__gt=0, weighed_g__gte=F("low_g")):
        yield Problem(_named(line), f"is not done, but its {_g(line.weighed_g)} lie in its band.")


def _weighings() -> Iterator[Problem]:
    rows = Weighing.objects.annotate(left_g=exact(F("movement__mass_g") + F("net_g")))
    wrong = ~Q(left_g=0) | ~Q(movement__lot=F("lot")) | ~Q(lot__material=F("line__material"))
    for pk, movement in rows.filter(wrong).values_list("pk", "movement"):
        yield Problem(f"weighing {pk}", f"is not what movement {movement} took from that lot.")
    for pk, back in ill_reversed(Weighing.objects.all(), "line", "lot", opposite=("net_g",)).values_list(
        "pk", "reverses"
    ):
        yield Problem(f"weighing {pk}", f"does not undo weighing {back} exactly.")


def _steps() -> Iterator[Problem]:
    for pk, back in ill_reversed(Step.objects.all(), "batch", "kind").values_list("pk", "reverses"):
        yield Problem(f"step {pk}", f"takes step {back} back, which is of another kind or batch.")


def _promises() -> Iterator[Problem]:
    """Material is promised to open lines alone, and to each exactly what it still needs."""
    found = (
        Reservation.objects.order_by().values_list("what", "line", "material").annotate(sum_g=Sum("mass_g"))
    )
    promised = {(what, line, material): g for what, line, material, g in found.exclude(sum_g=0)}
    needed = {
        (f"batch {line.batch.number}", str(line.position), line.material_id): line.missing_g
        for line in Line.objects.filter(batch__state__in=NEEDING, done_at=None).select_related("batch")
        if line.missing_g > 0
    }
    for what, line, material in sorted(promised.keys() | needed.keys()):
        there, wanted = (book.get((what, line, material), NOUGHT) for book in (promised, needed))
        if there != wanted:
            yield Problem(f"{what}, line {line}", f"is promised {_g(there)} and still needs {_g(wanted)}.")


def _named(line: Line) -> str:
    return f"{line.batch}, line {line.position} ({line.name})"


def _g(mass_g: Decimal) -> str:
    return f"{words.number(mass_g, 3, least=0)}{words.GAP}g"
