"""What a fill is worth: the dry glaze in it, at the cost of the dry glaze it came from."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

NOUGHT = Decimal(0)


@dataclass(frozen=True)
class Part:
    """Dry grams that went into a fill, and what they cost (None: not known)."""

    dry_g: Decimal
    cost: Decimal | None


@dataclass(frozen=True)
class Worth:
    """``value`` of that share of the dry mass (0 to 1) whose cost is known; None when it is of none."""

    value: Decimal | None
    known_share: Decimal


def worth(*, dry_g: Decimal, parts: Sequence[Part]) -> Worth:
    """What ``dry_g`` grams left of a mixture of ``parts`` are worth; both 0 or more.

    Every gram that was used took the same share of each part with it: stirred glaze is one mixture
    (derived). Parts without a known cost count as dry mass and not as money. ValueError when negative.
    """
    if dry_g < 0 or any(part.dry_g < 0 for part in parts):
        raise ValueError("dry mass can't be negative")
    total_g = sum((part.dry_g for part in parts), NOUGHT)
    known = [part for part in parts if part.cost is not None and part.dry_g > 0]
    if not known or total_g <= 0:
        return Worth(None, NOUGHT)
    cost = sum((part.cost for part in known if part.cost is not None), NOUGHT)
    known_g = sum((part.dry_g for part in known), NOUGHT)
    return Worth(value=cost * dry_g / total_g, known_share=known_g / total_g)
