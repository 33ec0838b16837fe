"""Batches under way and requests that wait."""

from collections.abc import Iterable, Iterator

from django.urls import reverse

from batches.models import Batch, Request
from studio import words
from studio.front.due.line import Due


def under_way() -> list[Batch]:
    """Batches from planned to wet, held ones too: one query."""
    over = (Batch.State.RELEASED, Batch.State.REJECTED, Batch.State.ABANDONED, Batch.State.TESTING)
    return list(Batch.objects.exclude(state__in=over)[:20])


def batches(going: Iterable[Batch]) -> Iterator[Due]:
    """Batches that somebody has begun, or may begin."""
    for batch in going:
        state = f"held ({batch.held_reason})" if batch.held else batch.state
        yield Due(
            urgency=1 if batch.held else 3,
            icon="scale",
            what=f"Batch {batch.number}, {batch.copy['name']}: {state}",
            why=f"{words.mass(batch.dry_g)} dry, to {words.litres(batch.to_volume_l)}.",
            address=reverse("batch", args=[batch.number]),
        )


def requests() -> Iterator[Due]:
    """Members who ask for glaze and have no answer yet: one query."""
    asked = Request.objects.filter(state=Request.State.ASKED).select_related("version__recipe", "by")
    for request in asked.order_by("number")[:20]:
        glaze = request.version.recipe.name
        yield Due(
            urgency=5,
            icon="person",
            what=f"Request {request.number}: {words.litres(request.to_volume_l)} {glaze}",
            why=f"{request.by} asks{': ' + request.why if request.why else ''}.",
            address=reverse("request", args=[request.number]),
        )
