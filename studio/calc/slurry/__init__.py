"""Density, dry mass, making up, topping up, mixing, thinning, thickening.

Symbols: ``sg`` is the density of the slurry over that of water at the same temperature; ``rho`` kg/L
of the slurry, ``rho_w`` of water (1 by the workshop's convention), ``rho_s`` the mean particle density
of the dry recipe; ``phi`` the solids' share of the volume, ``w`` of the mass. Volumes add up: true for
powders that do not dissolve and hold no air; trapped air makes SG read low.

Formulas: derived here from "masses add, volumes add", unless a docstring names a source.
"""

from studio.calc.slurry.density import (
    SgRho,
    Slurry,
    dry_from_volume,
    dry_g_per_l,
    mean_density,
    rho_s_from_dry,
    sg_from,
    slurry,
    volume_from_dry,
    volume_from_mass,
)
from studio.calc.slurry.making import MakeUp, Mix, MoistMakeUp, TopUp, make_up, make_up_moist, mix, top_up
from studio.calc.slurry.thinning import (
    Decant,
    SideBucket,
    SideBucketThicker,
    Thicken,
    Thin,
    ThinByMass,
    WithLiquor,
    decant,
    sg_after_water,
    side_bucket,
    side_bucket_thicker,
    thicken_powder,
    thin,
    thin_by_mass,
    with_liquor,
)

__all__ = [
    "Decant",
    "MakeUp",
    "Mix",
    "MoistMakeUp",
    "SgRho",
    "SideBucket",
    "SideBucketThicker",
    "Slurry",
    "Thicken",
    "Thin",
    "ThinByMass",
    "TopUp",
    "WithLiquor",
    "decant",
    "dry_from_volume",
    "dry_g_per_l",
    "make_up",
    "make_up_moist",
    "mean_density",
    "mix",
    "rho_s_from_dry",
    "sg_after_water",
    "sg_from",
    "side_bucket",
    "side_bucket_thicker",
    "slurry",
    "thicken_powder",
    "thin",
    "thin_by_mass",
    "top_up",
    "volume_from_dry",
    "volume_from_mass",
    "with_liquor",
]
