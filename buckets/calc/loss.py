"""Where the litres went between two measured levels: used as glaze, or lost as water (slurry reference h).

Two balances: litres ``V``, and ``X = (SG - 1) V``, what the powder weighs more than the water it took the
place of (kg), which water neither brings nor takes. Water at 1 kg/L. Needs level *and* SG at both ends, both
of stirred slurry, and every addition written down: otherwise there are more unknowns than equations.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from studio.calc.arguments import above, between, finite, not_negative, positive

U_VOLUME_L = 0.12  # of a level read with a stick (slurry reference h)
U_SG = 0.0044  # of an SG weighed in a 100 mL cylinder (slurry reference h)
U_USED_L, U_LOST_L = 0.25, 0.18  # what that makes of used and lost in a pail of 15 L (slurry reference h, h1)
TIMES_U = 2.0  # water lost is said only beyond so many times its uncertainty
LATENT_KJ_KG = (2501.0, 2.36)  # heat to evaporate a kg of water at 0 C, and less per degree
SECONDS_A_DAY = 86_400


@dataclass(frozen=True)
class Step:
    """From one measured level to the next: SG and litres at each end, what was added just after the first.

    ``powder_kg`` is what the additions weigh more than water of their volume would be: ``added_x`` kg of X;
    ``added_l`` their litres. Signed: what was taken off counts below nought.
    """

    volume_1_l: float
    sg_1: float
    volume_2_l: float
    sg_2: float
    added_l: float = 0.0
    added_x: float = 0.0


@dataclass(frozen=True)
class Loss:
    """Litres used and litres of water lost, their bounds and standard uncertainties (None: not given)."""

    used_l: float
    water_lost_l: float
    used_if_evaporated_first_l: float
    used_if_used_first_l: float
    lost_if_evaporated_first_l: float
    lost_if_used_first_l: float
    u_used_l: float | None = None
    u_water_lost_l: float | None = None


@dataclass(frozen=True)
class Evaporated:
    """Litres left and litres of water gone when nothing was used."""

    volume_l: float
    water_lost_l: float


@dataclass(frozen=True)
class OpenSurface:
    """Water vapour off an open surface: kPa at saturation, kg/m2 an hour, mm a day."""

    p_sat_kpa: float
    kg_per_m2_h: float
    mm_per_day: float


def split_loss(
    *,
    volume_1_l: float,
    sg_1: float,
    volume_2_l: float,
    sg_2: float,
    rho_s: float,
    rho_w: float = 1.0,
    powder_kg: float = 0.0,
    water_l: float = 0.0,
    u_volume_l: float | None = None,
    u_sg: float | None = None,
) -> Loss:
    """One step with powder (kg, density ``rho_s``) and water (L) added just after the first reading.

    Used and lost at constant rates. Litres above 0, SG above 1, additions 0 or more; both uncertainties or
    neither (first order, the four readings independent, additions exact). ValueError otherwise. Derived in
    slurry reference h and checked there against a step simulation.
    """
    positive(rho_s=rho_s, rho_w=rho_w)
    not_negative(powder_kg=powder_kg, water_l=water_l)
    step = Step(
        volume_1_l=volume_1_l,
        sg_1=sg_1,
        volume_2_l=volume_2_l,
        sg_2=sg_2,
        added_l=powder_kg / rho_s + water_l,
        added_x=powder_kg * (1 / rho_w - 1 / rho_s),
    )
    return loss_over([step], u_volume_l=u_volume_l, u_sg=u_sg)


def loss_over(steps: Sequence[Step], *, u_volume_l: float | None = None, u_sg: float | None = None) -> Loss:
    """The sum over steps that follow each other, each ending where the next begins (one or more).

    A level and an SG in the middle belong to two steps; what is wrong with them nearly cancels out, so the
    uncertainty is little more than that of the two ends. Independent readings, first order.
    """
    if not steps:
        raise ValueError("at least one step wanted")
    parts = [_of_step(step) for step in steps]
    total = Loss(*(math.fsum(values) for values in zip(*(part.figures() for part in parts), strict=True)))
    if u_volume_l is None or u_sg is None:
        return total
    not_negative(u_volume_l=u_volume_l, u_sg=u_sg)
    u_used, u_lost = _uncertainty(parts, u_volume_l, u_sg)
    return Loss(**{**vars(total), "u_used_l": u_used, "u_water_lost_l": u_lost})


@dataclass(frozen=True)
class _Part:
    """One step solved, with the slopes of the used litres over its four readings."""

    used: float
    lost: float
    used_evaporated_first: float
    used_used_first: float
    gone: float
    slopes_1: tuple[float, float]  # over litres and SG of the first end
    slopes_2: tuple[float, float]

    def figures(self) -> tuple[float, ...]:
        first, second = self.used_evaporated_first, self.used_used_first
        return self.used, self.lost, first, second, self.gone - first, self.gone - second


def _of_step(step: Step) -> _Part:
    positive(volume_1_l=step.volume_1_l, volume_2_l=step.volume_2_l)
    above(1, sg_1=step.sg_1, sg_2=step.sg_2)
    finite(added_l=step.added_l, added_x=step.added_x)
    v_a, v_2 = step.volume_1_l + step.added_l, step.volume_2_l
    x_a, x_2 = (step.sg_1 - 1) * step.volume_1_l + step.added_x, (step.sg_2 - 1) * v_2
    positive(litres_after_additions=v_a, powder_after_additions=x_a)
    gone, log = v_a - v_2, math.log(x_a / x_2)
    mean, by_a, by_2 = _log_mean(v_a, v_2)
    used = mean * log
    by_x_a, by_x_2 = mean / x_a, -mean / x_2
    return _Part(
        used=used,
        lost=gone - used,
        used_evaporated_first=(x_a - x_2) / (step.sg_2 - 1),
        used_used_first=(x_a - x_2) * v_a / x_a,
        gone=gone,
        slopes_1=(by_a * log + by_x_a * (step.sg_1 - 1), by_x_a * step.volume_1_l),
        slopes_2=(by_2 * log + by_x_2 * (step.sg_2 - 1), by_x_2 * v_2),
    )


def _log_mean(a: float, b: float) -> tuple[float, float, float]:
    """(a - b)/ln(a/b), and how it changes with a and with b; the plain mean where they are nearly equal."""
    if abs(a - b) < 1e-6 * a:
        return (a + b) / 2, 0.5, 0.5
    log = math.log(a / b)
    mean = (a - b) / log
    return mean, (1 - mean / a) / log, (mean / b - 1) / log


def _uncertainty(parts: Sequence[_Part], u_volume_l: float, u_sg: float) -> tuple[float, float]:
    """Of the used and of the lost litres, over every reading once: the end of a step begins the next."""
    used: list[tuple[float, float]] = [parts[0].slopes_1]
    for before, after in pairwise(parts):
        (v_2, s_2), (v_1, s_1) = before.slopes_2, after.slopes_1
        used.append((v_2 + v_1, s_2 + s_1))
    used.append(parts[-1].slopes_2)
    # Lost is what is gone less what was used: litres at the first end count once for it, at the last against.
    levels = [1.0, *(0.0 for _ in parts[1:]), -1.0]
    lost = [(level - v, -s) for level, (v, s) in zip(levels, used, strict=True)]
    return _root(used, u_volume_l, u_sg), _root(lost, u_volume_l, u_sg)


def _root(slopes: Sequence[tuple[float, float]], u_volume_l: float, u_sg: float) -> float:
    return math.sqrt(math.fsum((v * u_volume_l) ** 2 + (s * u_sg) ** 2 for v, s in slopes))


def evaporated_only(*, volume_1_l: float, sg_1: float, sg_2: float) -> Evaporated:
    """Nothing used: V1 (SG2 - SG1)/(SG2 - 1) litres of water are gone. Litres 0 or more, SG above 1."""
    not_negative(volume_1_l=volume_1_l)
    above(1, sg_1=sg_1, sg_2=sg_2)
    lost = volume_1_l * (sg_2 - sg_1) / (sg_2 - 1)
    return Evaporated(volume_l=volume_1_l - lost, water_lost_l=lost)


def open_surface_evaporation(*, temperature_c: float, humidity: float, air_m_s: float = 0.0) -> OpenSurface:
    """Water off an open surface into a room: order of magnitude only; a lidded pail loses far less.

    ``temperature_c`` 0 to 60 of air and water, ``humidity`` 0 to 1, ``air_m_s`` 0 or more. Swimming pool
    correlation (ASHRAE, from memory): (0.089 + 0.0782 v)(1 - RH) p_sat/(2501 - 2.36 T) kg/m2/s; p_sat by
    Magnus, 0.61094 exp(17.625 T/(T + 243.04)) kPa. ValueError otherwise.
    """
    between(0, 60, temperature_c=temperature_c)
    between(0, 1, humidity=humidity)
    not_negative(air_m_s=air_m_s)
    p_sat = 0.61094 * math.exp(17.625 * temperature_c / (temperature_c + 243.04))
    heat = LATENT_KJ_KG[0] - LATENT_KJ_KG[1] * temperature_c
    kg_per_m2_s = (0.089 + 0.0782 * air_m_s) * (1 - humidity) * p_sat / heat
    return OpenSurface(
        p_sat_kpa=p_sat, kg_per_m2_h=kg_per_m2_s * 3600, mm_per_day=kg_per_m2_s * SECONDS_A_DAY
    )
