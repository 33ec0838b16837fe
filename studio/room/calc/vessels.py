"""Depth and litres in a straight-walled bucket: a truncated cone, inner sizes in cm.

``offset_l`` is the constant that a foot ring or rounded corners add or take: measure it with two
weighed fillings of water. Derived: integrate pi D^2 / 4 over the depth.
"""

import math

from studio.calc.arguments import between, finite, not_negative, positive

STRAIGHT = 1e-9  # a wall that leans less than this is taken as upright
CM3_PER_L = 1000


def _check_cone(*, bottom_cm: float, top_cm: float, height_cm: float, offset_l: float = 0.0) -> None:
    positive(bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm)
    finite(offset_l=offset_l)


def diameter_at_cm(*, depth_cm: float, bottom_cm: float, top_cm: float, height_cm: float) -> float:
    """Inner diameter (cm) at a depth above the floor, 0 to ``height_cm``. ValueError outside."""
    _check_cone(bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm)
    between(0, height_cm, depth_cm=depth_cm)
    return bottom_cm + (top_cm - bottom_cm) * depth_cm / height_cm


def volume_at_depth_l(
    *, depth_cm: float, bottom_cm: float, top_cm: float, height_cm: float, offset_l: float = 0.0
) -> float:
    """Litres in a bucket filled to ``depth_cm`` (0 to ``height_cm``), never below 0.

    ValueError when a size is not above 0 or the depth is over the rim. +-2 mm of level is about
    +-0.12 L in a 20 L pail.
    """
    _check_cone(bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm, offset_l=offset_l)
    d0, h = bottom_cm, depth_cm
    d = diameter_at_cm(depth_cm=depth_cm, bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm)
    return max(0.0, math.pi * h / 12 * (d0**2 + d0 * d + d**2) / CM3_PER_L + offset_l)


def depth_of_volume_cm(
    *, volume_l: float, bottom_cm: float, top_cm: float, height_cm: float, offset_l: float = 0.0
) -> float:
    """Depth (cm) at which a bucket holds ``volume_l`` litres. Inverse of ``volume_at_depth_l``.

    ``volume_l`` 0 to the brim; what fits under the floor (``offset_l``) stands at depth 0. ValueError
    when it is more than the bucket holds.
    """
    _check_cone(bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm, offset_l=offset_l)
    brim = brim_l(bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm, offset_l=offset_l)
    between(0, brim * (1 + 1e-12), volume_l=volume_l)
    d0 = bottom_cm
    v = max(0.0, volume_l - offset_l) * CM3_PER_L
    k = (top_cm - bottom_cm) / height_cm
    if abs(k) < STRAIGHT:
        h = 4 * v / (math.pi * d0**2)
    else:
        h = (math.cbrt(d0**3 + 12 * v * k / math.pi) - d0) / k
    return min(h, height_cm)


def brim_l(*, bottom_cm: float, top_cm: float, height_cm: float, offset_l: float = 0.0) -> float:
    """Litres to the brim."""
    return volume_at_depth_l(
        depth_cm=height_cm, bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm, offset_l=offset_l
    )


def fill_limit_l(
    *, bottom_cm: float, top_cm: float, height_cm: float, limit_pct: float, offset_l: float = 0.0
) -> float:
    """Litres up to which a bucket is filled, leaving room to stir and for the dipped piece.

    ``limit_pct`` of the brim, 0 to 100; 85 is common practice, no source.
    """
    between(0, 100, limit_pct=limit_pct)
    brim = brim_l(bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm, offset_l=offset_l)
    return brim * limit_pct / 100


def share_of_brim_pct(
    *, volume_l: float, bottom_cm: float, top_cm: float, height_cm: float, offset_l: float = 0.0
) -> float:
    """How full ``volume_l`` litres make a bucket, in % of the brim; over 100 when it does not fit."""
    not_negative(volume_l=volume_l)
    brim = brim_l(bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm, offset_l=offset_l)
    return 100 * volume_l / brim


def surface_per_cm(*, depth_cm: float, bottom_cm: float, top_cm: float, height_cm: float) -> float:
    """Litres that one more cm of depth adds at ``depth_cm``: the surface, as L/cm."""
    d = diameter_at_cm(depth_cm=depth_cm, bottom_cm=bottom_cm, top_cm=top_cm, height_cm=height_cm)
    return math.pi * d**2 / 4 / CM3_PER_L
