"""Used as glaze, or lost as water: section h."""

from buckets.calc import loss
from studio.front.checks.answers import Answer, answered

ENDS = {"V1": "volume_1_l", "sg1": "sg_1", "V2": "volume_2_l", "sg2": "sg_2"}

CHECKS: dict[str, Answer] = {
    "split_loss": answered(
        loss.split_loss,
        arguments={**ENDS, "water_L": "water_l", "u_V": "u_volume_l", "u_sg_": "u_sg"},
        outputs={
            "used_L": "used_l",
            "water_lost_L": "water_lost_l",
            "used_if_evaporated_first_L": "used_if_evaporated_first_l",
            "used_if_used_first_L": "used_if_used_first_l",
            "lost_if_evaporated_first_L": "lost_if_evaporated_first_l",
            "lost_if_used_first_L": "lost_if_used_first_l",
            "u_used_L": "u_used_l",
            "u_water_lost_L": "u_water_lost_l",
        },
    ),
    "evaporated_only": answered(
        loss.evaporated_only, arguments=ENDS, outputs={"V2": "volume_l", "water_lost_L": "water_lost_l"}
    ),
    "open_surface_evaporation": answered(
        loss.open_surface_evaporation,
        arguments={"T_C": "temperature_c", "RH": "humidity"},
        outputs={"p_sat_kPa": "p_sat_kpa", "kg_per_m2_h": "kg_per_m2_h", "mm_per_day": "mm_per_day"},
    ),
}
