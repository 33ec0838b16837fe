"""What the bucket's page says about dipping: seconds for one coat, how long the stir holds, pieces left."""

from datetime import datetime
from typing import Any

from buckets.advice import newest_reading
from buckets.calc.dip import DipCheck
from buckets.coating import EXTRA_ML, OneCoat, one_coat, tile_of
from buckets.models import Fill
from studio.calc.coating import pieces
from studio.room.policy import Policy


def dipping(fill: Fill, dip: DipCheck, changed: bool, now: datetime, rules: Policy) -> dict[str, Any]:
    """Facts for ``_dipping.html``, of a fill fetched ``with_tile``. No query of its own.

    ``changed``: something went in or came off after the reading, so it no longer says how thick it is.
    """
    reading = newest_reading(fill)
    found = one_coat(fill, tile_of(fill), reading.sg if reading else None, rules)
    one = found if isinstance(found, OneCoat) else None
    until = dip.stirred_until
    return {
        "one": one,
        "why_not": found if isinstance(found, str) else "",
        "changed": changed,
        "stirred_until": until if until and until > now else None,
        "left": pieces_left(fill, one, float(rules.piece_area_cm2), rules) if one else None,
        "keep_cm": rules.keep_depth_cm,
        "piece_area_cm2": rules.piece_area_cm2,
        "tile": tile_of(fill),
    }


def pieces_left(fill: Fill, one: OneCoat, area_cm2: float, rules: Policy) -> int:
    """About how many pieces of that area the bucket glazes before it is too shallow to dip in."""
    keep_cm = min(float(rules.keep_depth_cm), float(fill.vessel.height_cm))
    return pieces(
        volume_l=float(fill.volume_l),
        keep_l=max(0.0, fill.vessel.volume_at_l(keep_cm)),
        area_cm2=area_cm2,
        coat_g_per_cm2=one.coat,
        extra_ml=EXTRA_ML,
        sg=one.sg,
        rho_s=one.rho_s,
    ).pieces
