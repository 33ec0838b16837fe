"""How fast a stirred glaze settles: single grains, crowds of them, and one observation carried elsewhere.

``rho_s`` g/mL of the powder, ``sg`` of the slurry (T/T), ``temperature_c`` °C (0 to 40); the water is that
of the temperature. Formulas: slurry reference i; Stokes and Richardson-Zaki with the density and viscosity
of the *water*, as the exponent already holds the crowding. Flocculated slurries settle as a network (slow,
with a delay), gum slows, clay shifts everything: what comes from grain sizes is an order of magnitude.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt

from studio.calc.arguments import above, between, not_negative, positive
from studio.calc.water import water_density_kg_per_l, water_viscosity_mpas

GRAVITY_M_S2 = 9.80665
RICHARDSON_ZAKI = 4.65  # Richardson's own commentary says "about 4.65" (opened); 4.48 by a later re-analysis
MOST_SG_APART = 0.1  # an observation says nothing about a slurry further away than this
CORRECTION_ROUNDS = 60


@dataclass(frozen=True)
class Stokes:
    """One grain alone in water: mm/s by Stokes, the Reynolds number of that, and mm/s with the full drag."""

    v_mm_s: float
    reynolds: float
    v_drag_corrected_mm_s: float


@dataclass(frozen=True)
class Hindered:
    """Grains of one size in a crowd."""

    phi: float
    hindrance: float
    v_mm_s: float
    mm_in_5_min: float
    s_for_10_mm: float


@dataclass(frozen=True)
class TopLayer:
    """Share (0 to 1) of the solids that has left the top layer, and the SG that is left there."""

    loss: float
    sg_top: float


@dataclass(frozen=True)
class Settles:
    """The clear layer at another SG and temperature: mm/s seen and expected, seconds until ``want``, the most
    it can ever become (mm), and the diameter of the grain that would fall like this (um)."""

    v_obs_mm_s: float
    v_mm_s: float
    t_for_want_s: float
    max_clear_mm: float
    equivalent_diameter_um: float


def stokes(*, d_um: float, rho_s: float, temperature_c: float) -> Stokes:
    """A grain of ``d_um`` (above 0) falling alone. Stokes holds to a Reynolds number of about 0.2.

    The corrected speed has the drag of Schiller and Naumann (from memory), with the Reynolds number of the
    corrected speed itself. ValueError when ``rho_s`` is not above the water's.
    """
    positive(d_um=d_um)
    rho_w, mu = _water(rho_s, temperature_c)
    v0 = _stokes_mm_s(d_um, rho_s - rho_w, mu)
    per_speed = rho_w * d_um / mu / 1000  # Re of 1 mm/s: kg/L x mm/s x um / mPa s / 1000
    corrected = v0
    for _ in range(CORRECTION_ROUNDS):
        corrected = v0 / (1 + 0.15 * (per_speed * corrected) ** 0.687)
    return Stokes(v_mm_s=v0, reynolds=per_speed * v0, v_drag_corrected_mm_s=corrected)


def hindered(
    *, d_um: float, rho_s: float, sg: float, temperature_c: float, n: float = RICHARDSON_ZAKI
) -> Hindered:
    """Grains of one size in a slurry of ``sg`` (1 to under ``rho_s``): ``v0 (1 - phi)^n``."""
    positive(d_um=d_um, n=n)
    phi, v = _crowd(rho_s, sg, temperature_c, n)
    speed = v(d_um)
    return Hindered(
        phi=phi,
        hindrance=(1 - phi) ** n,
        v_mm_s=speed,
        mm_in_5_min=300 * speed,
        s_for_10_mm=10 / speed,
    )


def top_layer_loss(
    *,
    d_um: Sequence[float],
    share: Sequence[float],
    rho_s: float,
    sg: float,
    t_s: float,
    depth_mm: float,
    temperature_c: float,
    n: float = RICHARDSON_ZAKI,
) -> TopLayer:
    """What has left the top ``depth_mm`` of a mixed grind after ``t_s`` at rest.

    ``share`` of each diameter, with any sum. A size class clears ``v t`` of the layer.
    """
    not_negative(t_s=t_s)
    loss = _loss(d_um, share, rho_s=rho_s, sg=sg, depth_mm=depth_mm, temperature_c=temperature_c, n=n)
    lost = loss(t_s)
    return TopLayer(loss=lost, sg_top=1 + (sg - 1) * (1 - lost))


def time_to_loss(
    *,
    d_um: Sequence[float],
    share: Sequence[float],
    rho_s: float,
    sg: float,
    y: float,
    depth_mm: float,
    temperature_c: float,
    n: float = RICHARDSON_ZAKI,
) -> float:
    """Seconds at rest until the share ``y`` (above 0, to 0.999) of the solids has left the top layer.

    ValueError for an ``y`` outside, or shares and diameters that do not pair up.
    """
    between(0, 0.999, y=y)
    positive(y=y)
    loss = _loss(d_um, share, rho_s=rho_s, sg=sg, depth_mm=depth_mm, temperature_c=temperature_c, n=n)
    late = 1.0
    while loss(late) < y:
        late *= 2
    early = 0.0
    for _ in range(200):
        middle = (early + late) / 2
        early, late = (middle, late) if loss(middle) < y else (early, middle)
    return late


def settle_calibrated(
    *,
    clear_mm: float,
    t_s: float,
    sg_obs: float,
    temperature_obs_c: float,
    sg: float,
    temperature_c: float,
    rho_s: float,
    height_mm: float,
    phi_bed: float,
    want_mm: float,
    n: float = RICHARDSON_ZAKI,
) -> Settles:
    """A clear layer seen once (``clear_mm`` in ``t_s`` at ``sg_obs``), carried to another SG and temperature.

    ``height_mm`` of the jar or bucket, ``phi_bed`` solids' share of the settled bed (0 to 1). The clear layer
    shows the slowest front, so it is optimistic about coarse grains. ValueError when the two SG lie more than
    0.1 apart: crowding changes the law itself.
    """
    positive(clear_mm=clear_mm, t_s=t_s, height_mm=height_mm, want_mm=want_mm, n=n)
    between(0.01, 1, phi_bed=phi_bed)
    if abs(sg - sg_obs) > MOST_SG_APART + 1e-9:
        raise ValueError(f"sg {sg} lies more than {MOST_SG_APART} from sg_obs {sg_obs}")
    phi_obs, phi = (_phi(rho_s, one, at) for one, at in ((sg_obs, temperature_obs_c), (sg, temperature_c)))
    rho_w_obs, mu_obs = _water(rho_s, temperature_obs_c)
    mu = water_viscosity_mpas(temperature_c=temperature_c)
    seen = clear_mm / t_s
    expected = seen * ((1 - phi) / (1 - phi_obs)) ** n * mu_obs / mu
    alone = seen / (1 - phi_obs) ** n
    return Settles(
        v_obs_mm_s=seen,
        v_mm_s=expected,
        t_for_want_s=want_mm / expected,
        max_clear_mm=height_mm * (1 - phi / phi_bed),
        equivalent_diameter_um=sqrt(alone / _stokes_mm_s(1.0, rho_s - rho_w_obs, mu_obs)),
    )


def allowed_s(*, t_obs_s: float, loss_obs: float, loss_allow: float) -> float:
    """Seconds until ``loss_allow`` of the solids has left dip depth, if ``loss_obs`` has after ``t_obs_s``.

    Linear, so good while both are small (under about 0.3). Both shares above 0, up to 1.
    """
    positive(t_obs_s=t_obs_s, loss_obs=loss_obs, loss_allow=loss_allow)
    between(0, 1, loss_obs=loss_obs, loss_allow=loss_allow)
    return t_obs_s * loss_allow / loss_obs


def loss_of_top(*, sg: float, sg_top: float) -> float:
    """Share of the solids gone from where the sample was taken: ``sg`` when stirred (above 1), ``sg_top`` of
    the sample. Negative when the sample is the denser one."""
    above(1, sg=sg)
    return (sg - sg_top) / (sg - 1)


def minutes_at(
    *,
    minutes: float,
    sg_obs: float,
    temperature_obs_c: float,
    sg: float,
    temperature_c: float,
    rho_s: float,
) -> float:
    """Minutes seen at one SG and temperature, as they would be at another: as much slower as it settles.

    ``minutes`` above 0; ValueError when the two SG lie more than 0.1 apart.
    """
    positive(minutes=minutes)
    unit = settle_calibrated(
        clear_mm=1.0,
        t_s=60 * minutes,
        sg_obs=sg_obs,
        temperature_obs_c=temperature_obs_c,
        sg=sg,
        temperature_c=temperature_c,
        rho_s=rho_s,
        height_mm=1.0,
        phi_bed=1.0,
        want_mm=1.0,
    )
    return unit.t_for_want_s / 60


# --- parts


def _stokes_mm_s(d_um: float, lighter_by: float, mu_mpas: float) -> float:
    """``g d^2 (rho_s - rho_w) / (18 mu)`` in mm/s: um^2 x kg/L / mPa s comes to 1e-3 of that."""
    return GRAVITY_M_S2 * d_um**2 * lighter_by / (18 * mu_mpas) / 1000


def _water(rho_s: float, temperature_c: float) -> tuple[float, float]:
    """Density (kg/L) and viscosity (mPa s) of the water; ValueError when the powder would float."""
    rho_w = water_density_kg_per_l(temperature_c=temperature_c)
    above(rho_w, rho_s=rho_s)
    return rho_w, water_viscosity_mpas(temperature_c=temperature_c)


def _phi(rho_s: float, sg: float, temperature_c: float) -> float:
    rho_w, _ = _water(rho_s, temperature_c)
    phi = (sg - 1) * rho_w / (rho_s - rho_w)
    between(0, 0.9999, phi=phi)
    return phi


def _crowd(rho_s: float, sg: float, temperature_c: float, n: float) -> tuple[float, Callable[[float], float]]:
    """Solids' share of the volume, and the speed in mm/s of a grain of any diameter in that crowd."""
    phi = _phi(rho_s, sg, temperature_c)
    rho_w, mu = _water(rho_s, temperature_c)
    return phi, lambda d_um: _stokes_mm_s(d_um, rho_s - rho_w, mu) * (1 - phi) ** n


def _loss(
    d_um: Sequence[float],
    share: Sequence[float],
    *,
    rho_s: float,
    sg: float,
    depth_mm: float,
    temperature_c: float,
    n: float,
) -> Callable[[float], float]:
    """The share of the solids lost from the top layer, as a function of seconds."""
    positive(depth_mm=depth_mm, n=n)
    if len(d_um) != len(share) or not d_um:
        raise ValueError(f"as many shares as diameters are wanted, got {len(share)} and {len(d_um)}")
    for diameter, part in zip(d_um, share, strict=True):
        positive(d_um=diameter)
        not_negative(share=part)
    whole = sum(share)
    positive(sum_of_shares=whole)
    _, speed = _crowd(rho_s, sg, temperature_c, n)
    classes = [(part / whole, speed(diameter) / depth_mm) for diameter, part in zip(d_um, share, strict=True)]
    return lambda t_s: sum(part * min(1.0, rate * t_s) for part, rate in classes)
