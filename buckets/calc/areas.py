"""Glazed area of common forms in cm2. Feet and edges are not counted: both are wiped.

A mug is ``studio.calc.coating.cylinder_area_cm2``. All derived from the solids they resemble; a thrown
piece is within some 10 % of them (common practice, no source).
"""

import math

from studio.calc.arguments import at_least, between, positive


def bowl_area_cm2(*, diameter_cm: float, height_cm: float, wall_cm: float) -> float:
    """A bowl, inside and outside, as part of a sphere.

    A cap of rim radius r and depth h belongs to a sphere of radius R with ``2 R h = r^2 + h^2``, and its
    area is ``2 pi R h = pi (r^2 + h^2)``. Inside, radius and depth are less by the wall.
    ``wall_cm`` below the radius and the height. ValueError otherwise.
    """
    positive(diameter_cm=diameter_cm, height_cm=height_cm, wall_cm=wall_cm)
    outer = diameter_cm / 2
    inner, depth = outer - wall_cm, height_cm - wall_cm
    positive(inside_radius_cm=inner, inside_height_cm=depth)
    return math.pi * (outer**2 + height_cm**2 + inner**2 + depth**2)


def plate_area_cm2(*, diameter_cm: float, well_cm: float, rise_cm: float = 0.0, faces: float = 2) -> float:
    """A plate: a flat well of diameter ``well_cm`` and a straight rim that rises to ``diameter_cm``.

    Per face the disc ``pi w^2`` and the mantle of a cut cone, ``pi (w + r) sqrt((r - w)^2 + h^2)``, with w
    and r the radii of well and rim. Without a rim the well is as wide as the plate and the rise nothing.
    ``well_cm`` above 0 up to the diameter, rise 0 or more, 1 or 2 faces. ValueError otherwise.
    """
    positive(diameter_cm=diameter_cm, well_cm=well_cm)
    at_least(well_cm, diameter_cm=diameter_cm)
    at_least(0, rise_cm=rise_cm)
    between(1, 2, faces=faces)
    well, rim = well_cm / 2, diameter_cm / 2
    return faces * math.pi * (well**2 + (well + rim) * math.hypot(rim - well, rise_cm))


def tile_area_cm2(*, width_cm: float, height_cm: float, faces: float = 1) -> float:
    """A flat tile: width times height, on 1 or 2 faces. ValueError otherwise."""
    positive(width_cm=width_cm, height_cm=height_cm)
    between(1, 2, faces=faces)
    return faces * width_cm * height_cm
