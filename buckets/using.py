"""About how much glaze a piece takes, so that using some is one tap."""

from dataclasses import dataclass
from decimal import Decimal

from buckets.advice import newest_reading
from buckets.coating import EXTRA_ML, OneCoat, one_coat, tile_of, with_tile
from buckets.models import Fill
from buckets.queries import with_standing
from studio.calc.coating import pieces
from studio.quantities import rounded
from studio.room.policy import Policy

STEP_ML = 5  # nobody knows it closer
COUNTS = (1, 2, 3, 5)


@dataclass(frozen=True, kw_only=True)
class Quick:
    """One large button: how many pieces (None: a cup) and about how many mL that is."""

    pieces: int | None
    ml: Decimal


def piece_ml(fill: Fill, rules: Policy) -> Decimal:
    """About the mL a usual piece takes: by the coat a tile got, at today's SG; else the studio's rule."""
    if not hasattr(fill, "tile_said"):
        fill = with_tile(with_standing(Fill.objects.filter(pk=fill.pk))).get()
    reading = newest_reading(fill)
    coat = one_coat(fill, tile_of(fill), reading.sg if reading else None, rules)
    if not isinstance(coat, OneCoat):
        return rules.piece_ml
    found = pieces(
        volume_l=0.0,
        keep_l=0.0,
        area_cm2=float(rules.piece_area_cm2),
        coat_g_per_cm2=coat.coat,
        extra_ml=EXTRA_ML,
        sg=coat.sg,
        rho_s=coat.rho_s,
    )
    return max(rounded(found.ml_per_piece / STEP_ML, 0), Decimal(1)) * STEP_ML


def quick_choices(fill: Fill, rules: Policy) -> list[Quick]:
    """What one tap may say: some pieces, or a cup; nothing that is not there."""
    each = piece_ml(fill, rules)
    choices = [Quick(pieces=count, ml=count * each) for count in COUNTS]
    choices.append(Quick(pieces=None, ml=rules.cup_ml))
    return [choice for choice in choices if choice.ml <= 1000 * fill.volume_l]
