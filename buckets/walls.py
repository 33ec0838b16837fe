"""Coats on one wall as a person asks about them: seconds, whether the wall takes it, how long to wait."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from buckets.advice import newest_reading
from buckets.calc import coats, layers, waiting
from buckets.calc.over import seconds_over_unlike
from buckets.coating import OneCoat, one_coat, tile_of
from buckets.models import Fill
from studio.room.calc.bodies import WallCapacity, wall_capacity
from studio.room.models import Body
from studio.room.policy import Policy

SAYS: dict[str, str] = {
    "takes_and_dries": "goes on, and its sheen leaves by itself",
    "builds_stays_damp": "goes on and stays damp: one more coat needs a wait",
    "will_not_build": "will not form: only a film will hold. Wait, or glaze one face a day",
    "uncertain": "is too close to call: touch test, and try it on the tile first",
}


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What somebody wants to do. Coats in g/cm2, ``hours`` since the coat that is on; None: not said."""

    sg: Decimal | None
    coat: float | None = None
    under: float | None = None
    under_fill: Fill | None = None
    hours: float = 0.0
    body: Body | None = None
    wall_mm: float | None = None
    faces: int = 2


@dataclass(frozen=True, kw_only=True)
class Wall:
    """What one glazed face has to say. Hours are lower bounds; None without a drying rate.

    ``under`` is the coat that is on, ``next`` the one asked about, both at their moment. ``damp_h`` is how
    long the newest coat that is on stays damp from now; ``least_h`` and ``advised_h`` how long to wait from
    now before the next one (without a coat on: before one more like it).
    """

    capacity: WallCapacity
    under: layers.AfterCoat | None
    next: layers.AfterCoat
    damp_h: float | None
    least_h: float | None
    advised_h: float | None
    too_small: bool

    @property
    def says(self) -> str:
        """The verdict on the next coat in words."""
        return SAYS[self.next.verdict]

    @property
    def shown_wait_h(self) -> float | None:
        """The advised wait as it is said."""
        return None if self.advised_h is None else waiting.shown_hours(self.advised_h)

    @property
    def shown_damp_h(self) -> float | None:
        """How long it stays damp, as it is said."""
        return None if self.damp_h is None else waiting.shown_hours(self.damp_h)


@dataclass(frozen=True, kw_only=True)
class Told:
    """The whole answer; what cannot be told has its sentence instead."""

    bare: OneCoat | None
    why_not: str
    under: float | None
    over_s: float | None
    over: str
    wall: Wall | None
    wall_why: str


def told(fill: Fill, asked: Asked, rules: Policy) -> Told:
    """Everything that can be said about the coat asked for, in a bucket fetched ``with_tile``."""
    bare = one_coat(fill, tile_of(fill), asked.sg, rules, asked.coat)
    if isinstance(bare, str):
        return Told(bare=None, why_not=bare, under=None, over_s=None, over="", wall=None, wall_why="")
    under, over_s, over = _over(fill, bare, asked, rules)
    wall, why = _wall(bare, under, asked)
    return Told(
        bare=bare,
        why_not="",
        under=under.coat if under else None,
        over_s=over_s,
        over=over,
        wall=wall,
        wall_why=why,
    )


def _over(fill: Fill, bare: OneCoat, asked: Asked, rules: Policy) -> tuple[OneCoat | None, float | None, str]:
    """The coat that is on, the seconds over it, and over which kind; a sentence where it is not known."""
    if asked.under is None:
        return None, None, ""
    below = asked.under_fill or fill
    reading = newest_reading(below)
    coat = asked.under or None  # nothing said: one coat of its kind
    under = one_coat(below, tile_of(below), reading.sg if reading else None, rules, coat)
    if isinstance(under, str):
        return None, None, f"{below.glaze} below: {under}"
    if below.pk == fill.pk:
        seconds = coats.seconds_over(
            k=bare.k, under_g_per_cm2=under.coat, add_g_per_cm2=bare.coat, film_g_per_cm2=bare.film
        )
        return under, seconds, "over its own kind"
    seconds = seconds_over_unlike(
        m1=under.coat,
        k1=under.k,
        rho_s1=under.rho_s,
        sg1=under.sg,
        phi_c1=under.phi_coat,
        k2=bare.k,
        rho_s2=bare.rho_s,
        sg2=bare.sg,
        phi_c2=bare.phi_coat,
        m2=max(0.0, bare.coat - bare.film),
    )
    return under, seconds, f"over {below.glaze}"


def _wall(bare: OneCoat, under: OneCoat | None, asked: Asked) -> tuple[Wall | None, str]:
    body = asked.body
    if body is None:
        return None, "Choose a clay body, and the wall can be asked whether it takes the coat."
    missing = ", ".join(_missing(body, asked))
    if missing:
        return None, f"Of {body.name} it is not known: {missing}."
    capacity = wall_capacity(
        wall_mm=float(asked.wall_mm or body.wall_mm or 0),
        absorption=float(body.absorption_pct or 0) / 100,
        bulk_density=float(body.bulk_density or 0),
        sides=asked.faces,
    )
    rate = float(body.drying_g_per_cm2_h) if body.drying_g_per_cm2_h else None
    return _asked_of(capacity, rate, _as_coat(bare), _as_coat(under) if under else None, asked.hours), ""


def _missing(body: Body, asked: Asked) -> Iterator[str]:
    if body.absorption_pct is None:
        yield "absorption"
    if body.bulk_density is None:
        yield "bulk density"
    if asked.wall_mm is None and body.wall_mm is None:
        yield "how thick the wall is"


def _as_coat(one: OneCoat) -> layers.Coat:
    return layers.Coat(m=one.coat, sg=one.sg, rho_s=one.rho_s, phi_c=one.phi_coat)


def _asked_of(
    capacity: WallCapacity, rate: float | None, coat: layers.Coat, under: layers.Coat | None, hours: float
) -> Wall:
    stack = [under, coat] if under else [coat]
    waits = [hours if rate else 0.0, 0.0][-len(stack) :]
    # without a rate no time passes and no hours are told: any rate gives the same ratios
    after = layers.sequence(
        coats=stack, capacity=capacity.capacity_ml_per_cm2, rate_g_per_cm2_h=rate or 1.0, wait_after_h=waits
    )
    least = advised = damp = None
    if rate:
        follow = stack if under else [coat, coat]
        since = hours if under else 0.0
        least, advised = (
            max(
                0.0,
                waiting.waits_before(
                    coats=follow,
                    capacity=capacity.capacity_ml_per_cm2,
                    rate_g_per_cm2_h=rate,
                    margin=margin,
                )[0]
                - since,
            )
            for margin in (1.0, waiting.MARGIN)
        )
        damp = max(0.0, after[0].damp_h - since)
    filtrate = layers.coat_water_parts(m=coat.m, sg=coat.sg, rho_s=coat.rho_s, phi_c=coat.phi_c)
    return Wall(
        capacity=capacity,
        under=after[0] if under else None,
        next=after[-1],
        damp_h=damp,
        least_h=least,
        advised_h=advised,
        too_small=_too_small(capacity, filtrate.filtrate_ml_per_cm2, under),
    )


def _too_small(capacity: WallCapacity, filtrate: float, under: layers.Coat | None) -> bool:
    """Even dried through, with the pores of the coat on it, the wall has no room for this coat."""
    pores = 0.0
    if under:
        pores = layers.coat_water_parts(
            m=under.m, sg=under.sg, rho_s=under.rho_s, phi_c=under.phi_c
        ).pore_water_ml_per_cm2
    return capacity.capacity_ml_per_cm2 + pores < filtrate
