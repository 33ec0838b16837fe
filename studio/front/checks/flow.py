"""Flow cups: section k."""

from studio.calc import flow
from studio.front.checks.answers import Answer, answered

NU = {"nu_mm2_s": "viscosity_mm2_s"}

CHECKS: dict[str, Answer] = {
    "cup": answered(flow.through_cup, arguments={"t_s": "seconds"}, outputs=NU),
    "cup_time": answered(flow.seconds_through, arguments=NU, outputs={"t_s": "seconds"}),
    "dispersed_viscosity": answered(
        flow.dispersed_viscosity, arguments={"T_C": "temperature_c"}, outputs={**NU, "mu_mPas": "mu_mpas"}
    ),
}
