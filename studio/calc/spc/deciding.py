"""What a chart is for: water nobody wrote down, instruments good enough, and what to do now."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from studio.calc.arguments import not_negative, positive

STEPS_IN_WINDOW = 10  # ten steps across the window (measurement guideline, summary opened)

Advice = Literal["use", "find_cause", "adjust", "remeasure"]


@dataclass(frozen=True)
class MeasurementFit:
    """Whether a vessel and a scale can tell what a window asks.

    By tolerance class: ``bias`` in SG and its ``bias_share`` of half the window (0 to 1 and more). By scale
    division in g: the ``step`` in SG, and whether ten of them go into the window.
    """

    window_width: float
    bias: dict[str, float]
    bias_share: dict[str, float]
    step: dict[float, float]
    ten_to_one: dict[float, bool]


def unlogged_water(*, volume_l: float, sg_before: float, sg_after: float) -> float | None:
    """Litres of water that would explain a fall of SG: V (SG1 - SG2)/(SG2 - 1).

    ``volume_l`` of glaze before it went in, 0 or more. None when the SG did not fall, or fell to water's.
    Derived: masses and volumes add up, water 1 kg/L.
    """
    not_negative(volume_l=volume_l)
    positive(sg_before=sg_before, sg_after=sg_after)
    if sg_after <= 1 or sg_after >= sg_before:
        return None
    return volume_l * (sg_before - sg_after) / (sg_after - 1)


def measurement_fit(
    *,
    window: Sequence[float],
    volume_ml: float,
    tolerance_ml: Mapping[str, float],
    scale_division_g: Sequence[float],
    sg: float,
) -> MeasurementFit:
    """What a measuring vessel of ``volume_ml`` with its tolerances (mL, by class) and scales can decide.

    ``window`` is [lower, upper] SG; ``sg`` about where it is read. A tolerance not calibrated away is a bias
    of SG x tolerance / volume. Steps of division / volume; ten of them must go into the window. Tolerances:
    ASTM E1272 table 1 (opened); ten steps: measurement guideline (summary opened). ValueError when the
    window has no width, a volume, division or SG is not above 0, or a tolerance is below 0.
    """
    low, high = window
    width = high - low
    positive(window_width=width, volume_ml=volume_ml, sg=sg)
    not_negative(**{f"tolerance_{name}": value for name, value in tolerance_ml.items()})
    positive(**{f"division_{i}": value for i, value in enumerate(scale_division_g)})
    bias = {name: sg * tolerance / volume_ml for name, tolerance in tolerance_ml.items()}
    step = {division: division / volume_ml for division in scale_division_g}
    return MeasurementFit(
        window_width=width,
        bias=bias,
        bias_share={name: value / (width / 2) for name, value in bias.items()},
        step=step,
        ten_to_one={division: one <= width / STEPS_IN_WINDOW + 1e-12 for division, one in step.items()},
    )


def window_and_limits(*, in_window: bool, in_control: bool) -> Advice:
    """What to do: the window says what the glaze needs, the limits what the bucket does.

    Neither is derived from the other (Wheeler, from memory). ``in_window`` and no signal: use; a signal in
    the window: find the cause before dipping; predictable but outside: adjust once, then measure again;
    outside with a signal: stir and measure again, and if it is so again, hold it.
    """
    if in_window:
        return "use" if in_control else "find_cause"
    return "adjust" if in_control else "remeasure"
