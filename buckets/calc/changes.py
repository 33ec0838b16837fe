"""What an act does to the litres and the grams in a bucket, and so to its specific gravity.

Everything rests on one rule: masses add up, and so do volumes (derived; true for powder that does not
dissolve and brings no air). Grams and litres, water at 1 kg/L by the workshop's convention.
"""

from dataclasses import dataclass

from studio.calc.arguments import above, between, finite, not_negative, positive


@dataclass(frozen=True)
class Change:
    """Litres and grams more in the bucket than before; negative: less."""

    litres: float
    grams: float

    def __add__(self, other: "Change") -> "Change":
        return Change(self.litres + other.litres, self.grams + other.grams)


NOTHING = Change(0.0, 0.0)


def of_water(*, litres: float) -> Change:
    """Clear water in (0 or more), or off (negative): a litre of it weighs a kilogram."""
    finite(litres=litres)
    return Change(litres, 1000 * litres)


def of_powder(*, grams: float, rho_s: float) -> Change:
    """Dry powder stirred in, grams 0 or more, of particle density ``rho_s`` (g/mL, above 0)."""
    not_negative(grams=grams)
    positive(rho_s=rho_s)
    return Change(grams / rho_s / 1000, grams)


def of_slurry(*, litres: float, sg: float) -> Change:
    """Slurry poured in, litres 0 or more, of specific gravity ``sg`` (1 or more)."""
    not_negative(litres=litres)
    above(0, sg=sg)
    return Change(litres, 1000 * litres * sg)


def sg_after(*, volume_l: float, sg: float, change: Change) -> float | None:
    """The specific gravity once the change is stirred in; None when nothing would be left.

    ``volume_l`` 0 or more and ``sg`` above 0 are what is in the bucket. ValueError otherwise.
    """
    not_negative(volume_l=volume_l)
    positive(sg=sg)
    volume_then_l = volume_l + change.litres
    if volume_then_l <= 0:
        return None
    return (1000 * volume_l * sg + change.grams) / (1000 * volume_then_l)


def share_of_dissolved(*, water_off_l: float, volume_l: float, phi: float) -> float:
    """Share (0 to 1) of everything dissolved that goes with clear water taken off.

    ``phi`` is the solids' share of the volume, 0 to under 1; ``volume_l`` above 0. Derived: what is
    dissolved is spread evenly over the water.
    """
    not_negative(water_off_l=water_off_l)
    positive(volume_l=volume_l)
    between(0, 0.9999, phi=phi)
    return min(1.0, water_off_l / ((1 - phi) * volume_l))
