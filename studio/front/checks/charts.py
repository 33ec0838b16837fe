"""Quality charts: every calculation of the chart check values."""

from typing import Any

from studio.calc import spc
from studio.front.checks.answers import Answer, answered


def segmented_chart(*, x: list[float], segment_starts: list[int]) -> dict[str, Any]:
    """The file names the means by segment, and the limits by the last one."""
    found = spc.segmented_chart(x=x, segment_starts=segment_starts)
    means = {f"mean_segment_{i}": mean for i, mean in enumerate(found.means, 1)}
    return {
        "mr_bar_segmented": found.mr_bar,
        "sigma_segmented": found.sigma,
        f"limits_segment_{len(means)}": found.limits,
        **means,
    }


def measurement_fit(
    *,
    window: list[float],
    cylinder_ml: float,
    cylinder_tolerance_ml: dict[str, float],
    scale_division_g: list[float],
    sg: float,
) -> dict[str, Any]:
    """The file has classes and divisions in the names of its outputs."""
    found = spc.measurement_fit(
        window=window,
        volume_ml=cylinder_ml,
        tolerance_ml=cylinder_tolerance_ml,
        scale_division_g=scale_division_g,
        sg=sg,
    )
    shares = {f"class_{name}_bias_share_of_half_window": share for name, share in found.bias_share.items()}
    return {
        "window_width": found.window_width,
        "ten_to_one_ok": {str(float(division)): fits for division, fits in found.ten_to_one.items()},
        **{f"bias_class_{name}": bias for name, bias in found.bias.items()},
        **{f"sg_step_{_said(division)}g": step for division, step in found.step.items()},
        **shares,
    }


def _said(division: float) -> str:
    return f"{division:g}".replace(".", "_")


CHECKS: dict[str, Answer] = {
    "individuals_chart": answered(spc.individuals_chart),
    "ewma_chart": answered(spc.ewma_chart),
    "ewma_limits": answered(spc.ewma_limits),
    "ewma_irregular": answered(spc.ewma_irregular),
    "cusum": answered(spc.cusum),
    "run_rules": answered(spc.run_rules, outputs="rules_hit"),
    "segmented_chart": segmented_chart,
    "unlogged_water": answered(spc.unlogged_water, outputs="water_l"),
    "measurement_fit": measurement_fit,
    "resolution_check": answered(spc.resolution_check),
    "chart_status": answered(spc.chart_status),
    "window_and_limits": answered(spc.window_and_limits, outputs="verdict"),
}
