"""In which order one mixer goes along the shelf, and where it has to be rinsed in between.

Colours are the swatches of the glazes as they look fired, "#rrggbb". The limits are this product's own:
what a drop of one slurry does to another is a matter of pigment, and a swatch only hints at it.
"""

from typing import NamedTuple

SEEN_AB = 18.0  # CIE a*b* distance from which a trace of one is suspected in the other
HIDES_L = 35.0  # L* by which a darker glaze swallows what a lighter one brings


class Lab(NamedTuple):
    """CIE 1976 L*a*b*: lightness 0 to 100, green-red and blue-yellow."""

    lightness: float
    a: float
    b: float


def lab_of(colour: str) -> Lab:
    """L*a*b* (white of D65) of an sRGB colour "#rrggbb". ValueError when it is no such text.

    Formulas: IEC 61966-2-1 for sRGB, CIE 15 for L*a*b*; from memory.
    """
    if len(colour) != 7 or colour[0] != "#":
        raise ValueError(f"a colour is # and six digits, got {colour!r}")
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    x = (0.4124564 * red + 0.3575761 * green + 0.1804375 * blue) / 0.95047
    y = 0.2126729 * red + 0.7151522 * green + 0.0721750 * blue
    z = (0.0193339 * red + 0.1191920 * green + 0.9503041 * blue) / 1.08883
    fx, fy, fz = (_cube_root(part) for part in (x, y, z))
    return Lab(116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz))


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def _cube_root(part: float) -> float:
    return part ** (1 / 3) if part > (6 / 29) ** 3 else part / (3 * (6 / 29) ** 2) + 4 / 29


def carries_over(*, before: str, after: str) -> bool:
    """Whether a trace of the glaze ``before`` would show in the one ``after``: rinse in between.

    It shows in a lighter one, and in one of another hue unless that one is much darker.
    """
    one, other = lab_of(before), lab_of(after)
    deeper = one.lightness - other.lightness
    hue_apart = ((one.a - other.a) ** 2 + (one.b - other.b) ** 2) ** 0.5
    return deeper < -5 or (hue_apart > SEEN_AB and deeper < HIDES_L)
