"""Quality charts: limits from what a thing does by itself, apart from the window of what is wanted.

Points, segments and signals are counted from 1; ``sigma`` is the process's own, mean range / 1.128.
Published examples that were checked: NIST/SEMATECH e-Handbook 6.3.2 (values read in public test suites that
name the page, not from the page itself). All values in their own unit; SG has none.
"""

from studio.calc.spc.deciding import (
    Advice,
    MeasurementFit,
    measurement_fit,
    unlogged_water,
    window_and_limits,
)
from studio.calc.spc.individuals import (
    CHUNKY,
    D2,
    D4,
    LOCKED,
    TRIAL,
    Individuals,
    Resolution,
    Segmented,
    Status,
    chart_status,
    individuals_chart,
    moving_ranges,
    possible_ranges,
    resolution_check,
    segmented_chart,
    status_of,
)
from studio.calc.spc.rules import run_rules
from studio.calc.spc.weighted import (
    Cusum,
    Ewma,
    EwmaLimits,
    IrregularEwma,
    cusum,
    ewma_chart,
    ewma_irregular,
    ewma_limits,
)

__all__ = [
    "CHUNKY",
    "D2",
    "D4",
    "LOCKED",
    "TRIAL",
    "Advice",
    "Cusum",
    "Ewma",
    "EwmaLimits",
    "Individuals",
    "IrregularEwma",
    "MeasurementFit",
    "Resolution",
    "Segmented",
    "Status",
    "chart_status",
    "cusum",
    "ewma_chart",
    "ewma_irregular",
    "ewma_limits",
    "individuals_chart",
    "measurement_fit",
    "moving_ranges",
    "possible_ranges",
    "resolution_check",
    "run_rules",
    "segmented_chart",
    "status_of",
    "unlogged_water",
    "window_and_limits",
]
