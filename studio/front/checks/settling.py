"""How fast a glaze settles: section i."""

from studio.calc import settling
from studio.front.checks.answers import Answer, answered

AT = {"T_C": "temperature_c"}

CHECKS: dict[str, Answer] = {
    "stokes": answered(settling.stokes, arguments=AT, outputs={"Re": "reynolds"}),
    "hindered": answered(settling.hindered, arguments=AT),
    "top_layer_loss": answered(settling.top_layer_loss, arguments=AT),
    "time_to_loss": answered(settling.time_to_loss, arguments=AT, outputs="t_s"),
    "settle_calibrated": answered(
        settling.settle_calibrated, arguments={"T_obs": "temperature_obs_c", "T": "temperature_c"}
    ),
}
