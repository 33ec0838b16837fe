"""Additives by dry glaze: how much salt, and how many millilitres of the stock solution carry it."""

from dataclasses import dataclass

from studio.calc.arguments import between, not_negative, positive


@dataclass(frozen=True)
class StockDose:
    """The additive as it stands in its jar, and the stock solution that holds so much of it."""

    salt_g: float
    stock_ml: float


def stock_dose(
    *, dry_kg: float, dose_pct_of_dry: float, stock_g_per_l: float, hydrate_factor: float = 1.0
) -> StockDose:
    """Grams of additive and millilitres of its stock solution for the dry glaze in a bucket.

    ``dry_kg`` 0 or more; ``dose_pct_of_dry`` 0 to 100, percent of the dry glaze; ``stock_g_per_l`` above
    0, grams of what stands in the jar to a litre of solution; ``hydrate_factor`` from 1 on, for a dose
    stated without crystal water (2.0477 for magnesium sulfate as heptahydrate). ValueError otherwise.
    The water of the stock thins the bucket and is logged as water. Derived: a share of the dry mass.
    """
    not_negative(dry_kg=dry_kg)
    between(0, 100, dose_pct_of_dry=dose_pct_of_dry)
    positive(stock_g_per_l=stock_g_per_l)
    between(1, 10, hydrate_factor=hydrate_factor)
    salt_g = 1000 * dry_kg * dose_pct_of_dry / 100 * hydrate_factor
    return StockDose(salt_g=salt_g, stock_ml=1000 * salt_g / stock_g_per_l)
