"""Particle density of a glaze, measured: a known volume dried to constant mass."""

from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone

from buckets.densities import STANDING
from buckets.errors import TakenBackAlready
from buckets.models import Density, Fill
from buckets.operations.standing import moment, opened
from studio import words
from studio.calc.gravity_doubt import particle_density
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded
from studio.room.measuring import ROOM_C
from studio.room.models import Glass, Scale

# Outside no glaze's powder lies, not even one full of zircon or lead; common practice, no source.
LIGHTEST, HEAVIEST = Decimal("1.8"), Decimal("4.5")


@act("particle density measured", about="fill")
def measure_density(
    *,
    fill: Fill,
    glass: Glass,
    scale: Scale,
    gross_g: Decimal,
    pan_g: Decimal,
    pan_dry_g: Decimal,
    tare_g: Decimal | None = None,
    temperature_c: Decimal = ROOM_C,
    note: str = "",
    by: Member,
    raw: str = "",
    key: UUID | None = None,
    at: datetime | None = None,
) -> Density:
    """The density of the powder in a fill (g/mL), from one glass of it weighed, dried and weighed again.

    Weights in g: the glass empty (``tare_g``, its own when not said) and full, the pan empty and with the
    dry powder; temperature of the slurry 0 to 40 C. The fill counts with it from now on, and so do later
    fills of the same version. Refused when the powder comes out lighter than 1.8 or heavier than 4.5.
    """
    fill = opened(fill)
    refuse_unless(by, rights.MAKE)
    at = moment(fill, at)
    tare_g = glass.empty_g if tare_g is None else tare_g
    if tare_g is None:
        raise Refused(f"What does {glass.name} weigh empty?", field="tare_g")
    _refuse_weights(scale, tare_g=tare_g, gross_g=gross_g, pan_g=pan_g, pan_dry_g=pan_dry_g)
    if not 0 <= temperature_c <= 40:
        raise Refused("Between 0 and 40 °C water’s density is known. How warm is it?", field="temperature_c")
    dry_g = pan_dry_g - pan_g
    rho_s, u = _found(glass, scale, tare_g, gross_g, dry_g, temperature_c)
    row = Density.objects.create(
        fill=fill,
        glass=glass,
        tare_g=tare_g,
        gross_g=gross_g,
        temperature_c=temperature_c,
        sg=rounded(float((gross_g - tare_g) / glass.volume_ml), 4),
        volume_ml=glass.volume_ml,
        dry_g=dry_g,
        particle_density=rho_s,
        u=u,
        before=fill.particle_density,
        note=note,
        raw=raw,
        by=by,
        at=at,
    )
    _follow(fill)
    return row


@act("particle density taken back", about="density")
def take_back_density(
    *, density: Density, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Density:
    """It was measured wrong: the fill counts again with the one before, or with its recipe's materials."""
    fill = opened(density.fill)
    refuse_unless(by, rights.MAKE)
    if density.reverses_id or Density.objects.filter(reverses=density).exists():
        raise TakenBackAlready()
    if not reason.strip():
        raise Refused("Say what was wrong with it.", field="reason")
    kept = (
        "glass",
        "tare_g",
        "gross_g",
        "temperature_c",
        "sg",
        "volume_ml",
        "dry_g",
        "particle_density",
        "u",
    )
    row = Density.objects.create(
        fill=fill,
        **{name: getattr(density, name) for name in kept},
        before=density.before,
        note=reason.strip(),
        reverses=density,
        by=by,
        at=at or timezone.now(),
    )
    _follow(fill)
    return row


def _follow(fill: Fill) -> None:
    """The fill's particle density: the newest measured that stands, else what it was before any."""
    newest = fill.densities.filter(STANDING).order_by("-at", "-id").first()
    if newest is not None:
        fill.particle_density = newest.particle_density
    else:
        first = fill.densities.filter(reverses=None).order_by("id").first()
        fill.particle_density = first.before if first else fill.particle_density
    fill.save(update_fields=["particle_density"])


def _found(
    glass: Glass, scale: Scale, tare_g: Decimal, gross_g: Decimal, dry_g: Decimal, temperature_c: Decimal
) -> tuple[Decimal, Decimal]:
    """Particle density and its standard uncertainty, g/mL."""
    told: dict[str, Any] = {
        "gross_g": gross_g,
        "tare_g": tare_g,
        "volume_ml": glass.volume_ml,
        "dry_g": dry_g,
    }
    told |= {"tol_volume_ml": glass.tolerance_ml, "tol_scale_g": scale.division_g}
    try:
        found = particle_density(
            temperature_c=float(temperature_c), **{name: float(value) for name, value in told.items()}
        )
    except ValueError as error:
        raise Refused(
            f"{words.grams(dry_g)} of powder cannot make {words.grams(gross_g - tare_g)} of slurry in "
            f"{words.number(glass.volume_ml, 1)}{words.GAP}mL. Check the weights.",
            field="pan_dry_g",
        ) from error
    rho_s = rounded(found.rho_s, 3)
    if not LIGHTEST <= rho_s <= HEAVIEST:
        raise Refused(
            f"That makes powder of {words.number(rho_s, 2)}{words.GAP}g/mL; glazes lie between 1.8 and 4.5. "
            "Not dry yet, or was some lost?",
            field="pan_dry_g",
        )
    return rho_s, rounded(found.u, 3)


def _refuse_weights(
    scale: Scale, *, tare_g: Decimal, gross_g: Decimal, pan_g: Decimal, pan_dry_g: Decimal
) -> None:
    if tare_g <= 0:
        raise Refused("An empty glass weighs more than 0 g.", field="tare_g")
    if pan_g <= 0:
        raise Refused("An empty pan weighs more than 0 g.", field="pan_g")
    if gross_g <= tare_g:
        raise Refused(f"Filled must be more than empty ({words.grams(tare_g)}).", field="gross_g")
    if pan_dry_g <= pan_g:
        raise Refused(f"With powder must be more than empty ({words.grams(pan_g)}).", field="pan_dry_g")
    for field, weight in (("gross_g", gross_g), ("pan_dry_g", pan_dry_g)):
        if weight > scale.capacity_g:
            raise Refused(f"{scale.name} weighs up to {words.grams(scale.capacity_g)}.", field=field)
