"""What the shelf says before the room puts a vessel away."""

from buckets.models import Fill
from studio.errors import Refused
from studio.room.models import Vessel


def refuse_full(vessel: Vessel) -> None:
    """Refuse while glaze is in it. Pouring locks the vessel too, so what is seen here stays so."""
    fill = Fill.objects.filter(vessel=vessel, emptied_at=None).first()
    if fill is not None:
        raise Refused(f"{vessel.code} holds {fill.glaze}. Empty it first, then put it away.")
