"""Hydrometers: added, changed, retired, back in use."""

from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.room.models import Hydrometer
from studio.room.operations.keeping import brought_back, free_name, retired, saved

# A division wider than a tenth of any window, in the scale's own unit, is a slip; common practice, no source.
WIDEST = {"SG": Decimal("0.02"), "baumé": Decimal(2), "twaddell": Decimal(4)}
MODULUS = Decimal(145)


@act("hydrometer added")
def add_hydrometer(
    *,
    name: str,
    shows: str,
    division: Decimal,
    modulus: Decimal | None = None,
    calibrated_at_c: Decimal = Decimal(20),
    water_reference_c: Decimal = Decimal(20),
    expansion_per_c: Decimal = Decimal("0.000025"),
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Hydrometer:
    """A hydrometer with its scale (SG, heavy Baume or Twaddell) and smallest step in that unit.

    ``modulus`` of a Baume scale (145 when not said), the temperature (C) it was made for, that of the
    water it calls 1.000, and its glass's expansion per C.
    """
    refuse_unless(by, rights.ROOM)
    row = Hydrometer(name=free_name(Hydrometer, name))
    _tell(row, locals())
    return saved(row)


@act("hydrometer changed", about="hydrometer")
def change_hydrometer(
    *,
    hydrometer: Hydrometer,
    name: str,
    shows: str,
    division: Decimal,
    modulus: Decimal | None = None,
    calibrated_at_c: Decimal = Decimal(20),
    water_reference_c: Decimal = Decimal(20),
    expansion_per_c: Decimal = Decimal("0.000025"),
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Hydrometer:
    """Its stem read again. Readings keep the SG they were made with."""
    refuse_unless(by, rights.ROOM)
    row = Hydrometer.objects.select_for_update().get(pk=hydrometer.pk)
    row.name = free_name(Hydrometer, name, but=row.pk)
    _tell(row, locals())
    return saved(row)


@act("hydrometer retired", about="hydrometer")
def retire_hydrometer(
    *,
    hydrometer: Hydrometer,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Hydrometer:
    """It is no longer offered for readings; those made with it stay."""
    refuse_unless(by, rights.ROOM)
    return retired(Hydrometer.objects.select_for_update().get(pk=hydrometer.pk), at)


@act("hydrometer back in use", about="hydrometer")
def bring_back_hydrometer(
    *,
    hydrometer: Hydrometer,
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Hydrometer:
    """It is offered for readings again."""
    refuse_unless(by, rights.ROOM)
    return brought_back(Hydrometer.objects.select_for_update().get(pk=hydrometer.pk))


def _tell(row: Hydrometer, said: dict[str, Any]) -> None:
    shows, division, modulus = said["shows"], said["division"], said["modulus"]
    if shows not in WIDEST:
        raise Refused("Does it show specific gravity, degrees Baumé or degrees Twaddell?", field="shows")
    if not 0 < division <= WIDEST[shows]:
        most = f"{WIDEST[shows].normalize():f}"
        raise Refused(
            f"The smallest step of such a scale is more than 0 and at most {most}. Read the stem again.",
            field="division",
        )
    if modulus is not None and not 100 < modulus < 200:
        raise Refused("The modulus of a Baumé scale is 145 or close to it.", field="modulus")
    row.shows, row.division = shows, division
    row.modulus = (modulus or MODULUS) if shows == Hydrometer.Shows.BAUME else None
    for name in ("calibrated_at_c", "water_reference_c"):
        if not 0 <= said[name] <= 40:
            raise Refused("A hydrometer is made for 0 to 40 °C; 60 °F is 15.6 °C.", field=name)
        setattr(row, name, said[name])
    if not 0 <= said["expansion_per_c"] <= Decimal("0.001"):
        raise Refused("Glass grows by about 0.000025 of itself for each °C.", field="expansion_per_c")
    row.expansion_per_c = said["expansion_per_c"]
