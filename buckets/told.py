"""What somebody says is in a bucket, before a batch is made into it."""

from decimal import Decimal

from buckets.operations.standing import litres
from studio import words
from studio.errors import Refused
from studio.room.models import Vessel

APART_L = Decimal("0.15")  # a level read to 2 mm says no more than this in a pail; see slurry reference g


def told_litres(vessel: Vessel, *, depth_cm: Decimal | None, volume_l: Decimal | None) -> Decimal | None:
    """Litres as typed, else from the depth in cm; None when neither was said.

    Both may be given: then the litres count, and they must lie within 0.15 L of what the depth says.
    """
    if volume_l is not None and volume_l < 0:
        raise Refused("There is never less than 0 L in a bucket.", field="volume_l")
    if depth_cm is None or volume_l is None:
        return litres(vessel, volume_l=volume_l, depth_cm=depth_cm)
    by_depth = litres(vessel, volume_l=None, depth_cm=depth_cm)
    told = litres(vessel, volume_l=volume_l, depth_cm=None)
    assert by_depth is not None and told is not None  # noqa: S101, PT018 - both were given
    if abs(told - by_depth) >= APART_L:
        raise Refused(
            f"{words.number(depth_cm, 1, least=0)} cm in {vessel.code} is {words.litres(by_depth)}; "
            f"{words.litres(told)} was typed. Which is right? Clear the other one.",
            field="volume_l",
        )
    return told


def refuse_gravity(sg: Decimal | None, powder: Decimal | None, *, field: str) -> None:
    """A slurry lies between water and its own powder."""
    most = min(powder or Decimal("2.2"), Decimal("2.2"))
    if sg is not None and not 1 <= sg < most:
        raise Refused(
            f"What is in a bucket lies between 1.00 (water) and {words.number(most, 2)}; "
            f"{words.sg(sg)} does not. Measure again.",
            field=field,
        )
