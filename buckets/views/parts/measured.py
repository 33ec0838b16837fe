"""What a bucket's page says of its flow and of the dry glaze in it. No query of its own."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from buckets.densities import U_RECKONED
from buckets.models import Fill
from buckets.queries import depth_in
from studio.calc.flow import CUPS, dispersed_viscosity, seconds_through
from studio.calc.gravity import DryUncertainty, uncertainty_of_dry
from studio.quantities import rounded
from studio.room.calc.filling import u_of_level_l
from studio.room.policy import Policy

U_UNKNOWN = 0.005  # an SG whose doubt is not known counts as +-0.01; common practice, no source


@dataclass(frozen=True, kw_only=True)
class Pace:
    """The newest flow beside the bucket's own: % more seconds, and the word for it.

    ``word``: as it should, slow, fast; empty when nothing can be compared.
    """

    percent: Decimal | None
    word: str
    other_cup: bool
    dispersed_s: Decimal | None


@dataclass(frozen=True, kw_only=True)
class Dry:
    """Dry glaze in a bucket in g, with twice its standard uncertainty, and where most of that comes from."""

    grams: Decimal
    doubt_g: Decimal
    u_level_l: Decimal
    u_powder: Decimal
    measured: bool
    most: str


def measured(fill: Fill, reading: dict[str, Any] | None, rules: Policy, *, changed: bool) -> dict[str, Any]:
    """Facts for ``_measured.html``, of a fill fetched by ``fill_in``."""
    return {"pace": paces(fill, rules), "dry": None if changed else dry_of(fill, reading)}


def paces(fill: Fill, rules: Policy) -> Pace | None:
    """How the glaze flows beside its reference; None when it was never timed."""
    flow, own = fill.flow, fill.flow_reference
    if flow is None or flow.seconds is None:
        return None
    dispersed = _dispersed_s(fill)
    if own is None or own.pk == flow.pk or not own.seconds:
        return Pace(percent=None, word="", other_cup=False, dispersed_s=dispersed)
    if own.cup_id != flow.cup_id:
        return Pace(percent=None, word="", other_cup=True, dispersed_s=dispersed)
    percent = rounded(float(100 * (flow.seconds - own.seconds) / own.seconds), 1)
    off = "slow" if percent > 0 else "fast"
    word = off if abs(percent) > rules.flow_within_pct else "as it should"
    return Pace(percent=percent, word=word, other_cup=False, dispersed_s=dispersed)


def _dispersed_s(fill: Fill) -> Decimal | None:
    """Seconds a glaze of its target SG would take with nothing holding its grains together."""
    flow, sg, powder = fill.flow, fill.target_sg, fill.particle_density
    if flow is None or flow.cup.standard not in CUPS or sg is None or powder is None:
        return None
    warm = flow.temperature_c if flow.temperature_c is not None else Decimal(20)
    try:
        nu = dispersed_viscosity(sg=float(sg), rho_s=float(powder), temperature_c=min(float(warm), 40.0))
    except ValueError:
        return None  # so thick that no formula says how it would flow
    told = seconds_through(cup=flow.cup.standard, viscosity_mm2_s=nu.viscosity_mm2_s)
    return rounded(told.seconds, 0)


def dry_of(fill: Fill, reading: dict[str, Any] | None) -> Dry | None:
    """Dry glaze from litres, SG and particle density; None while one of them is not known."""
    powder = fill.particle_density
    if reading is None or powder is None or fill.volume_l <= 0 or not 1 < reading["sg"] < powder:
        return None
    depth = depth_in(fill.vessel, fill.volume_l)
    level = u_of_level_l(depth_cm=depth, **fill.vessel._sizes())
    own: Decimal | None = getattr(fill, "density_u", None)
    u_powder = U_RECKONED if own is None else own
    found = uncertainty_of_dry(
        volume_l=float(fill.volume_l),
        sg=float(reading["sg"]),
        rho_s=float(powder),
        u_volume_l=level,
        u_sg=float(reading["doubt"]) / 2 if reading["known"] else U_UNKNOWN,
        u_rho_s=float(u_powder),
    )
    return Dry(
        grams=rounded(1000 * found.dry_kg, 0),
        doubt_g=rounded(2000 * found.u_dry_kg, 0),
        u_level_l=rounded(level, 3),
        u_powder=u_powder,
        measured=own is not None,
        most=_most(found),
    )


def _most(found: DryUncertainty) -> str:
    parts = {
        "the level": found.part_volume_kg,
        "the gravity": found.part_sg_kg,
        "the density of the powder": found.part_rho_s_kg,
    }
    return max(parts, key=lambda name: parts[name])
