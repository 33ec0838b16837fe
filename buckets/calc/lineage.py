"""What a fill is made of: shares of its parents and, through them, of recipe versions, by dry mass."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from studio.calc.apportion import largest_remainder

STEP = Decimal("0.000001")  # shares are kept to a millionth


def dry_shares(*, dry_g: Mapping[str, Decimal], step: Decimal = STEP) -> dict[str, Decimal]:
    """Each parent's share of the dry mass, 0 to 1, multiples of ``step`` that sum to exactly 1.

    ``dry_g`` by parent, 0 or more, not all 0. ValueError otherwise. Recipes blend by dry mass, not by
    volume (derived).
    """
    parts = largest_remainder(shares=list(dry_g.values()), total=Decimal(1), step=step)
    return dict(zip(dry_g, parts, strict=True))


def version_shares(
    *, parents: Mapping[str, tuple[Decimal, Mapping[str, Decimal]]], step: Decimal = STEP
) -> dict[str, Decimal]:
    """Share of every recipe version in a fill, from each parent's dry mass and its own version shares.

    A parent is (grams dry, shares by version that sum to above 0); give what was found a version of its
    own, like "history unknown". The answer sums to exactly 1. ValueError as ``dry_shares``.
    """
    dry: dict[str, Fraction] = {}
    for grams, shares in parents.values():
        whole = sum((Fraction(share) for share in shares.values()), Fraction(0))
        if whole <= 0:
            raise ValueError("the shares of a parent must sum to above 0")
        for version, share in shares.items():
            dry[version] = dry.get(version, Fraction(0)) + Fraction(grams) * Fraction(share) / whole
    parts = largest_remainder(shares=list(dry.values()), total=Decimal(1), step=step)
    return dict(zip(dry, parts, strict=True))
