"""Scales, flasks and cylinders: added, changed, retired, back in use."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room.models import Glass, Scale
from studio.room.operations.keeping import brought_back, free_name, retired, saved


@act("scale added")
def add_scale(
    *,
    name: str,
    division_g: Decimal,
    capacity_g: Decimal,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Scale:
    """A scale with the smallest step it shows and the most it weighs, both in grams."""
    refuse_unless(by, rights.ROOM)
    _refuse_steps(division_g, capacity_g)
    return saved(Scale(name=free_name(Scale, name), division_g=division_g, capacity_g=capacity_g))


@act("scale changed", about="scale")
def change_scale(
    *,
    scale: Scale,
    name: str,
    division_g: Decimal,
    capacity_g: Decimal,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Scale:
    """A scale's plate read again. Batches keep the bands they were planned with."""
    refuse_unless(by, rights.ROOM)
    scale = Scale.objects.select_for_update().get(pk=scale.pk)
    _refuse_steps(division_g, capacity_g)
    scale.name = free_name(Scale, name, but=scale.pk)
    scale.division_g, scale.capacity_g = division_g, capacity_g
    return saved(scale)


@act("scale retired", about="scale")
def retire_scale(
    *,
    scale: Scale,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Scale:
    """A scale is no longer planned with; what was weighed on it stays as it is."""
    refuse_unless(by, rights.ROOM)
    return retired(Scale.objects.select_for_update().get(pk=scale.pk), at)


@act("scale back in use", about="scale")
def bring_back_scale(
    *,
    scale: Scale,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Scale:
    """A retired scale is planned with again."""
    refuse_unless(by, rights.ROOM)
    return brought_back(Scale.objects.select_for_update().get(pk=scale.pk))


@act("glass added")
def add_glass(
    *,
    name: str,
    kind: str,
    volume_ml: Decimal,
    tolerance_ml: Decimal,
    empty_g: Decimal | None = None,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Glass:
    """A flask or cylinder: its volume and tolerance (half-width) in mL, its dry weight in g if known."""
    refuse_unless(by, rights.ROOM)
    _refuse_volumes(volume_ml, tolerance_ml)
    glass = Glass(name=free_name(Glass, name), kind=kind, volume_ml=volume_ml, tolerance_ml=tolerance_ml)
    glass.empty_g = empty_g
    return saved(glass)


@act("glass changed", about="glass")
def change_glass(
    *,
    glass: Glass,
    name: str,
    kind: str,
    volume_ml: Decimal,
    tolerance_ml: Decimal,
    empty_g: Decimal | None = None,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Glass:
    """A flask or cylinder calibrated again. Readings keep the uncertainty they were made with."""
    refuse_unless(by, rights.ROOM)
    glass = Glass.objects.select_for_update().get(pk=glass.pk)
    _refuse_volumes(volume_ml, tolerance_ml)
    glass.name = free_name(Glass, name, but=glass.pk)
    if (glass.volume_ml, glass.tolerance_ml) != (volume_ml, tolerance_ml):
        glass.calibrated_at = None  # typed from now on, no longer found with water
    glass.kind, glass.volume_ml, glass.tolerance_ml = kind, volume_ml, tolerance_ml
    glass.empty_g = empty_g
    return saved(glass)


@act("glass retired", about="glass")
def retire_glass(
    *,
    glass: Glass,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Glass:
    """A flask or cylinder is no longer offered for readings; those made with it stay."""
    refuse_unless(by, rights.ROOM)
    return retired(Glass.objects.select_for_update().get(pk=glass.pk), at)


@act("glass back in use", about="glass")
def bring_back_glass(
    *,
    glass: Glass,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Glass:
    """A retired flask or cylinder is offered for readings again."""
    refuse_unless(by, rights.ROOM)
    return brought_back(Glass.objects.select_for_update().get(pk=glass.pk))


# --- inside -------------------------------------------------------------------------------------------


def _refuse_steps(division_g: Decimal, capacity_g: Decimal) -> None:
    if division_g <= 0:
        raise Refused("The smallest step must be more than 0 g.", field="division_g")
    if capacity_g < 100 * division_g:
        raise Refused(
            "A scale weighs at least a hundred of its smallest steps. Are the two the right way round?",
            field="capacity_g",
        )


def _refuse_volumes(volume_ml: Decimal, tolerance_ml: Decimal) -> None:
    if volume_ml <= 0:
        raise Refused("The volume must be more than 0 mL.", field="volume_ml")
    if tolerance_ml <= 0:
        raise Refused("No glass is exact: the tolerance must be more than 0 mL.", field="tolerance_ml")
    if tolerance_ml > volume_ml / 10:
        raise Refused(
            "With more than a tenth of the volume a reading would tell nothing. Is that in mL?",
            field="tolerance_ml",
        )
