"""Flow cups: seconds to run empty and the kinematic viscosity they stand for.

The equations hold for Newtonian or nearly Newtonian liquids (scope texts opened; equations as a public
module and a published calibration table carry them). A glaze has a yield stress, so its viscosity is
nominal; outside a cup's range the seconds stand alone.
"""

from dataclasses import dataclass
from math import sqrt

from studio.calc.arguments import above, between, positive
from studio.calc.slurry import slurry
from studio.calc.water import water_density_kg_per_l, water_viscosity_mpas

PHI_MOST = 0.6  # solids that no flow is left at; Krieger-Dougherty, from memory


@dataclass(frozen=True)
class Cup:
    """A standard cup: its equation (``a`` and ``b`` in the order of ``shape``) and its range in seconds.

    ``at_c``: the temperature the standard times it at.
    """

    words: str
    shape: str
    a: float
    b: float
    t_min_s: float
    t_max_s: float
    at_c: float


CUPS: dict[str, Cup] = {
    "ISO2431-3": Cup("ISO 2431, 3 mm", "A t - B/t", 0.443, 200, 30, 100, 23),
    "ISO2431-4": Cup("ISO 2431, 4 mm", "A t - B/t", 1.37, 200, 30, 100, 23),
    "ISO2431-5": Cup("ISO 2431, 5 mm", "A t - B/t", 3.28, 220, 30, 100, 23),
    "ISO2431-6": Cup("ISO 2431, 6 mm", "A t - B/t", 6.90, 570, 30, 100, 23),
    "DIN53211-4": Cup("DIN 53211, 4 mm", "A t - B/t", 4.57, 452, 25, 150, 20),  # 20 C: from memory
    "D1200-1": Cup("ASTM D1200, no. 1", "K (t - c)", 0.49, 35, 55, 100, 25),
    "D1200-2": Cup("ASTM D1200, no. 2", "K (t - c)", 1.44, 18, 40, 100, 25),
    "D1200-3": Cup("ASTM D1200, no. 3", "K (t - c)", 2.31, 6.58, 20, 100, 25),
    "D1200-4": Cup("ASTM D1200, no. 4", "K (t - c)", 3.85, 4.49, 20, 100, 25),
    "D1200-5": Cup("ASTM D1200, no. 5", "K (t - c)", 12.1, 2.0, 20, 100, 25),
}


@dataclass(frozen=True)
class Efflux:
    """Seconds through a cup and the nominal kinematic viscosity (mm2/s) its equation gives for them.

    ``in_range`` False: the equation does not hold there, and only the seconds are worth keeping.
    """

    seconds: float
    viscosity_mm2_s: float
    in_range: bool


@dataclass(frozen=True)
class Dispersed:
    """A glaze with nothing that holds its grains together: mPa s and mm2/s."""

    mu_mpas: float
    viscosity_mm2_s: float


def through_cup(*, cup: str, seconds: float) -> Efflux:
    """The nominal viscosity of what ran through ``cup`` (a key of ``CUPS``) in ``seconds`` (above 0).

    KeyError for a cup that is not known, ValueError for seconds that cannot be.
    """
    known = CUPS[cup]
    positive(seconds=seconds)
    if known.shape == "A t - B/t":
        nu = known.a * seconds - known.b / seconds
    else:
        nu = known.a * (seconds - known.b)
    return Efflux(seconds=seconds, viscosity_mm2_s=nu, in_range=_in_range(known, seconds))


def seconds_through(*, cup: str, viscosity_mm2_s: float) -> Efflux:
    """How long a liquid of that viscosity (mm2/s, above 0) takes: the inverse of ``through_cup``."""
    known = CUPS[cup]
    positive(viscosity_mm2_s=viscosity_mm2_s)
    nu = viscosity_mm2_s
    if known.shape == "A t - B/t":
        seconds = (nu + sqrt(nu**2 + 4 * known.a * known.b)) / (2 * known.a)
    else:
        seconds = nu / known.a + known.b
    return Efflux(seconds=seconds, viscosity_mm2_s=nu, in_range=_in_range(known, seconds))


def dispersed_viscosity(
    *, sg: float, rho_s: float, phi_max: float = PHI_MOST, temperature_c: float = 20.0
) -> Dispersed:
    """How thin a glaze is when nothing holds its grains together, from its SG alone.

    ``sg`` above 1 (T/T), ``rho_s`` g/mL, ``phi_max`` 0 to 1, 0 to 40 C. ValueError when out of range or
    when the grains fill ``phi_max`` or more. What is clearly slower than this at the same SG has
    structure: flocculation or gum. Source: Krieger-Dougherty (from memory).
    """
    above(1, sg=sg)
    between(0, 1, phi_max=phi_max)
    rho_w = water_density_kg_per_l(temperature_c=temperature_c)
    phi = slurry(sg=sg, rho_s=rho_s, rho_w=rho_w).phi
    if phi >= phi_max:
        raise ValueError(f"the grains fill {phi:.3f} of the volume, phi_max is {phi_max}")
    mu = water_viscosity_mpas(temperature_c=temperature_c) * (1 - phi / phi_max) ** (-2.5 * phi_max)
    return Dispersed(mu_mpas=mu, viscosity_mm2_s=mu / (sg * rho_w))


def _in_range(cup: Cup, seconds: float) -> bool:
    return cup.t_min_s <= seconds <= cup.t_max_s
