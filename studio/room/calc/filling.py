"""Litres from weight: water weighed into a bucket, and a bucket weighed with its glaze in it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from studio.calc.arguments import above, at_least, not_negative
from studio.calc.water import water_density_kg_per_l
from studio.room.calc.vessels import surface_per_cm, volume_at_depth_l

LEVEL_CM = 0.2  # half-width of a depth read on a stick: about 0.12 L in a 20 L pail (slurry reference g)


@dataclass(frozen=True)
class WaterFill:
    """Net grams of water at a depth (cm) and a temperature (C)."""

    depth_cm: float
    net_g: float
    temperature_c: float

    @property
    def litres(self) -> float:
        """What so much water takes up."""
        return self.net_g / 1000 / water_density_kg_per_l(temperature_c=self.temperature_c)


@dataclass(frozen=True)
class Offset:
    """Measured less reckoned litres: of the shallower fill, of the deeper one, and their mean.

    ``agree``: both are the same within what depths read to 2 mm allow.
    """

    low_l: float
    high_l: float
    offset_l: float
    agree: bool


def offset_of_fills(
    *, fills: Sequence[WaterFill], bottom_cm: float, top_cm: float, height_cm: float
) -> Offset:
    """What two weighed water fills say a foot ring or rounded corners add to the cone, or take.

    Exactly two fills, depths inside the bucket. ValueError otherwise. A straight wall makes the difference
    a constant; when the two differ by more than both depths' reading, the sizes are wrong. Derived.
    """
    if len(fills) != 2:
        raise ValueError(f"two fills are wanted, got {len(fills)}")
    sizes = {"bottom_cm": bottom_cm, "top_cm": top_cm, "height_cm": height_cm}
    low, high = sorted(fills, key=lambda fill: fill.depth_cm)
    off = [fill.litres - volume_at_depth_l(depth_cm=fill.depth_cm, **sizes) for fill in (low, high)]
    reading = [LEVEL_CM * surface_per_cm(depth_cm=fill.depth_cm, **sizes) for fill in (low, high)]
    agree = abs(off[1] - off[0]) <= sum(reading)
    return Offset(low_l=off[0], high_l=off[1], offset_l=sum(off) / 2, agree=agree)


def litres_by_weight(*, gross_g: float, empty_g: float, sg: float) -> float:
    """Litres of a slurry from what its bucket weighs with it and empty (g), by grams in a mL.

    ``gross_g`` above ``empty_g``, ``sg`` 1 or more. ValueError otherwise. Derived: mass over density.
    """
    not_negative(empty_g=empty_g)
    above(empty_g, gross_g=gross_g)
    at_least(1, sg=sg)
    return (gross_g - empty_g) / 1000 / sg


def u_of_level_l(*, depth_cm: float, bottom_cm: float, top_cm: float, height_cm: float) -> float:
    """Standard uncertainty (L) of litres read as a depth: 2 mm either way over the surface there."""
    sizes = {"bottom_cm": bottom_cm, "top_cm": top_cm, "height_cm": height_cm}
    return LEVEL_CM * surface_per_cm(depth_cm=depth_cm, **sizes) / sqrt(3)
