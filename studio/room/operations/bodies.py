"""Clay bodies as they are bisqued here: added, changed, retired, back in use."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone

from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded
from studio.room.calc import bodies as calc
from studio.room.models import Body
from studio.room.operations.keeping import brought_back, free_name, retired, saved

# Wider than any bisque, narrow enough to catch a slip of the finger; common practice, no source.
MOST_ABSORPTION_PCT, MOST_RATE = Decimal(40), Decimal(1)


@act("clay body added")
def add_body(
    *,
    name: str,
    bisque_cone: str = "",
    absorption_pct: Decimal | None = None,
    dry_g: Decimal | None = None,
    soaked_g: Decimal | None = None,
    hung_g: Decimal | None = None,
    bulk_density: Decimal | None = None,
    drying_g_per_cm2_h: Decimal | None = None,
    damp_g: Decimal | None = None,
    later_g: Decimal | None = None,
    area_cm2: Decimal | None = None,
    hours: Decimal | None = None,
    wall_mm: Decimal | None = None,
    measured_on: date | None = None,
    note: str = "",
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Body:
    """A clay body. What was weighed counts before what was typed.

    Absorption (%) from ``dry_g`` and ``soaked_g``, with ``hung_g`` (soaked, weighed hanging in water) bulk
    density (g/mL), too; drying rate (g/cm2/h) from ``damp_g``, ``later_g``, ``area_cm2`` and ``hours``.
    Refused when a weighing is half told or the wrong way round, or a number out of range.
    """
    refuse_unless(by, rights.ROOM)
    body = Body(name=free_name(Body, name))
    _tell(body, **_told(locals()))
    return saved(body)


@act("clay body changed", about="body")
def change_body(
    *,
    body: Body,
    name: str,
    bisque_cone: str = "",
    absorption_pct: Decimal | None = None,
    dry_g: Decimal | None = None,
    soaked_g: Decimal | None = None,
    hung_g: Decimal | None = None,
    bulk_density: Decimal | None = None,
    drying_g_per_cm2_h: Decimal | None = None,
    damp_g: Decimal | None = None,
    later_g: Decimal | None = None,
    area_cm2: Decimal | None = None,
    hours: Decimal | None = None,
    wall_mm: Decimal | None = None,
    measured_on: date | None = None,
    note: str = "",
    by: Member | None,
    key: UUID | None = None,
    at: datetime | None = None,
    raw: str = "",
) -> Body:
    """A body measured again: as ``add_body``. Tiles keep the coat they were weighed with."""
    refuse_unless(by, rights.ROOM)
    body = Body.objects.select_for_update().get(pk=body.pk)
    body.name = free_name(Body, name, but=body.pk)
    _tell(body, **_told(locals()))
    return saved(body)


@act("clay body retired", about="body")
def retire_body(
    *, body: Body, by: Member | None, key: UUID | None = None, at: datetime | None = None, raw: str = ""
) -> Body:
    """A body is no longer offered; tiles dipped on it stay."""
    refuse_unless(by, rights.ROOM)
    return retired(Body.objects.select_for_update().get(pk=body.pk), at)


@act("clay body back in use", about="body")
def bring_back_body(
    *, body: Body, by: Member | None, key: UUID | None = None, at: datetime | None = None, raw: str = ""
) -> Body:
    """A retired body is offered again."""
    refuse_unless(by, rights.ROOM)
    return brought_back(Body.objects.select_for_update().get(pk=body.pk))


# --- inside -------------------------------------------------------------------------------------------

NOT_TOLD = ("body", "name", "by", "key", "at", "raw")


def _told(arguments: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in arguments.items() if name not in NOT_TOLD}


def _tell(body: Body, *, bisque_cone: str, wall_mm: Decimal | None, note: str, **told: Any) -> None:
    before = (body.absorption_pct, body.bulk_density), body.drying_g_per_cm2_h
    soak = _all_or_none("soaked_g", told, "dry_g", "soaked_g")
    dry = _all_or_none("later_g", told, "damp_g", "later_g", "area_cm2", "hours")
    body.bisque_cone, body.note, body.wall_mm = bisque_cone.strip(), note.strip(), wall_mm
    body.absorption_pct, body.bulk_density = told["absorption_pct"], told["bulk_density"]
    body.drying_g_per_cm2_h = told["drying_g_per_cm2_h"]
    # what was weighed before stays said as long as its number stays
    was_soaked, was_dried = _parts(body.measured_how)
    if soak:
        was_soaked = _soaked(body, told["hung_g"], *soak)
    elif told["hung_g"] is not None:
        raise Refused("Weigh it dry and soaked, too: one weighing in water tells nothing.", field="hung_g")
    elif before[0] != (body.absorption_pct, body.bulk_density):
        was_soaked = ""
    if dry:
        was_dried = _dried(body, *dry)
    elif before[1] != body.drying_g_per_cm2_h:
        was_dried = ""
    body.measured_how = "; ".join(part for part in (was_soaked, was_dried) if part)
    weighed = bool(soak or dry)
    body.measured_on = told["measured_on"] or (timezone.localdate() if weighed else body.measured_on)
    _refuse_out_of_range(body)


def _parts(how: str) -> tuple[str, str]:
    """What was weighed: soaking first, drying second, either may be missing."""
    parts = how.split("; ") if how else []
    soaked, dried = ([part for part in parts if part.startswith(word)] for word in ("dry ", "damp, "))
    return "".join(soaked), "".join(dried)


def _all_or_none(field: str, told: dict[str, Any], *names: str) -> list[Decimal] | None:
    given = [told[name] for name in names if told[name] is not None]
    if given and len(given) < len(names):
        raise Refused("These weighings belong together. Fill in all of them, or none.", field=field)
    return given or None


def _soaked(body: Body, hung_g: Decimal | None, dry_g: Decimal, soaked_g: Decimal) -> str:
    if soaked_g <= dry_g or dry_g <= 0:
        raise Refused(
            "Soaked, a piece is heavier than dry. Are the two the right way round?", field="soaked_g"
        )
    body.absorption_pct = rounded(calc.absorption_pct(dry_g=float(dry_g), soaked_g=float(soaked_g)), 2)
    how = f"dry {dry_g.normalize():f} g, soaked {soaked_g.normalize():f} g"
    if hung_g is None:
        return how
    if not 0 < hung_g < dry_g:
        raise Refused("Hanging in water it weighs less than dry in air.", field="hung_g")
    weights = {"dry_g": float(dry_g), "soaked_g": float(soaked_g), "hung_g": float(hung_g)}
    body.bulk_density = rounded(calc.bulk_density(**weights), 3)
    return f"{how}, in water {hung_g.normalize():f} g"


def _dried(body: Body, damp_g: Decimal, later_g: Decimal, area_cm2: Decimal, hours: Decimal) -> str:
    if not 0 < later_g < damp_g:
        raise Refused("Drying, a piece gets lighter. Are the two the right way round?", field="later_g")
    if area_cm2 <= 0 or hours <= 0:
        raise Refused("Both surface and hours must be more than nothing.", field="hours")
    rate = calc.drying_rate_g_per_cm2_h(
        m1_g=float(damp_g), m2_g=float(later_g), area_cm2=float(area_cm2), hours=float(hours)
    )
    body.drying_g_per_cm2_h = rounded(rate, 4)
    lost, area, time = (f"{value.normalize():f}" for value in (damp_g - later_g, area_cm2, hours))
    return f"damp, lost {lost} g from {area} cm² in {time} h"


def _refuse_out_of_range(body: Body) -> None:
    if body.absorption_pct is not None and not 0 < body.absorption_pct <= MOST_ABSORPTION_PCT:
        raise Refused(
            f"Bisque takes up more than 0 and at most {MOST_ABSORPTION_PCT} %. "
            f"This comes to {body.absorption_pct.normalize():f} %.",
            field="absorption_pct",
        )
    if body.bulk_density is not None and not 1 <= body.bulk_density <= 3:
        raise Refused("Bisque weighs 1 to 3 g a millilitre, pores and all.", field="bulk_density")
    if body.drying_g_per_cm2_h is not None and not 0 < body.drying_g_per_cm2_h <= MOST_RATE:
        raise Refused(
            f"A wall loses more than 0 and at most {MOST_RATE} g a square centimetre and hour. "
            f"This comes to {body.drying_g_per_cm2_h.normalize():f}.",
            field="drying_g_per_cm2_h",
        )
    if body.wall_mm is not None and not 0 < body.wall_mm <= 100:
        raise Refused("A wall is more than 0 and at most 100 mm thick.", field="wall_mm")
