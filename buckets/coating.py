"""Seconds for one coat, from the tile that speaks for a fill, at the SG it has: from kept facts alone."""

from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.db.models import JSONField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce, JSONObject
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from buckets.calc import coats
from buckets.models import Fill, Tile
from buckets.operations.standing import STANDS
from studio.room.policy import Policy

FAR_SG = 0.1  # further from its tile's SG nothing is reckoned; common practice, no source
EXTRA_ML = 4.0  # a piece carries away besides its coat: drips and the dipper; common practice, no source
RHO_ASSUMED = 2.6  # g/mL, where a fill's powder is not known: the reference's own example

NO_TILE = "No tile of it has been dipped and weighed yet, so the seconds for a coat are not known."
NO_SG = "It has no reading yet. Measure it, and the seconds for a coat are known."


@dataclass(frozen=True, kw_only=True)
class TileSaid:
    """A tile as advice rests on it. ``own``: dipped in this very fill, not in another of its recipe."""

    pk: int
    sg: Decimal
    seconds: Decimal
    coat: Decimal
    seconds_2: Decimal | None
    coat_2: Decimal | None
    target: Decimal | None
    body: str
    body_pk: int | None
    at: datetime
    own: bool

    @property
    def wanted(self) -> Decimal:
        """The coat this glaze wants, g/cm2: as told, else what the tile got."""
        return self.target or self.coat

    def film_and_k(self) -> tuple[float, float]:
        """Film (g/cm2) and K (g2/cm4/s) at the tile's SG: both from two tiles, no film from one."""
        first = {"t1_s": float(self.seconds), "m1": float(self.coat)}
        if self.seconds_2 is not None and self.coat_2 is not None:
            two = coats.coat_from_two_tiles(**first, t2_s=float(self.seconds_2), m2=float(self.coat_2))
            return two.film_g_per_cm2, two.k
        return 0.0, coats.coat_k(t_s=first["t1_s"], coat_g_per_cm2=first["m1"])


@dataclass(frozen=True, kw_only=True)
class OneCoat:
    """Seconds for ``coat`` (g/cm2) on bare bisque at ``sg``, with all it was reckoned from."""

    tile: TileSaid
    sg: float
    coat: float
    seconds: float
    k: float
    k_tile: float
    film: float
    rho_s: float
    rho_assumed: bool
    phi_coat: float

    @property
    def raw_mm(self) -> float:
        """How thick the coat lies before it is fired."""
        return 10 * self.coat / (self.phi_coat * self.rho_s)


PLACES = {"seconds": 1, "seconds_2": 1, "sg": 4, "coat": 4, "coat_2": 4, "target": 4}


def with_tile(fills: QuerySet[Fill]) -> QuerySet[Fill]:
    """Fills with ``tile_said``: their own newest tile, else the newest of their recipe; no further query."""
    said = JSONObject(
        pk="pk",
        fill="fill_id",
        sg="sg",
        seconds="seconds",
        coat="coat_g_per_cm2",
        seconds_2="seconds_2",
        coat_2="coat_2_g_per_cm2",
        target="target_g_per_cm2",
        body="body__name",
        body_pk="body_id",
        at="at",
    )
    own = Tile.objects.filter(pk=OuterRef("tile")).annotate(said=said)
    kin = Tile.objects.filter(STANDS, fill__recipe=OuterRef("recipe")).annotate(said=said)
    return fills.annotate(
        tile_said=Coalesce(
            Subquery(own.values("said")[:1]),
            Subquery(kin.order_by("-at", "-id").values("said")[:1]),
            output_field=JSONField(),
        )
    )


def tile_of(fill: Fill) -> TileSaid | None:
    """The tile that speaks for a fill fetched ``with_tile``; None: there is none."""
    said: dict[str, Any] | None = fill.tile_said  # type: ignore[attr-defined]
    if said is None:
        return None
    numbers = {
        name: None if said[name] is None else Decimal(said[name]).scaleb(-places)
        for name, places in PLACES.items()
    }
    at = parse_datetime(said["at"])
    assert at is not None  # noqa: S101 - the database writes moments that can be read
    return TileSaid(
        pk=said["pk"],
        body=said["body"] or "",
        body_pk=said["body_pk"],
        at=at if timezone.is_aware(at) else at.replace(tzinfo=UTC),
        own=said["fill"] == fill.pk,
        **numbers,  # type: ignore[arg-type]
    )


def one_coat(
    fill: Fill, tile: TileSaid | None, sg: Decimal | float | None, rules: Policy, coat: float | None = None
) -> OneCoat | str:
    """Seconds for a ``coat`` (g/cm2; None: the one it wants) at ``sg``; else the sentence why not."""
    if tile is None:
        return NO_TILE
    if sg is None:
        return NO_SG
    sg, rho_s = float(sg), float(fill.particle_density or RHO_ASSUMED)
    if abs(sg - float(tile.sg)) > FAR_SG + 1e-9:
        return (
            f"Its tile was dipped at SG {tile.sg:.3f}, too far from {sg:.3f} to reckon from. Dip a tile now."
        )
    film, k_tile = tile.film_and_k()
    phi_coat = float(rules.coat_solids_pct) / 100
    try:
        k = coats.k_at_sg(k=k_tile, sg_cal=float(tile.sg), sg_new=sg, rho_s=rho_s, phi_coat=phi_coat).k
    except ValueError:
        return f"At SG {sg:.3f} it is too thin or too thick to reckon the seconds for a coat."
    wanted = float(tile.wanted) if coat is None else coat
    return OneCoat(
        tile=tile,
        sg=sg,
        coat=wanted,
        seconds=coats.dip_seconds(k=k, coat_g_per_cm2=wanted, film_g_per_cm2=film),
        k=k,
        k_tile=k_tile,
        film=film,
        rho_s=rho_s,
        rho_assumed=fill.particle_density is None,
        phi_coat=phi_coat,
    )
