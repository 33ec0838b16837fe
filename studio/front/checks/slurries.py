"""Density, making up, thinning, measuring, vessels and coverage: sections a to g and n."""

from typing import Any

from studio.calc import brongniart, coating, gravity, gravity_scales, water
from studio.calc import slurry as slurries
from studio.front.checks.answers import Answer, answered, either_way
from studio.room.calc import vessels


def bucket_volume(*, h_cm: float, D_bottom_cm: float, D_top_cm: float, H_cm: float) -> dict[str, Any]:  # noqa: N803
    """Three questions of one vessel at one depth."""
    sizes = {"bottom_cm": D_bottom_cm, "top_cm": D_top_cm, "height_cm": H_cm}
    return {
        "V": vessels.volume_at_depth_l(depth_cm=h_cm, **sizes),
        "D_at_level_cm": vessels.diameter_at_cm(depth_cm=h_cm, **sizes),
        "L_per_cm": vessels.surface_per_cm(depth_cm=h_cm, **sizes),
    }


FROM_TO = {"V1": "volume_l", "sg1": "sg", "sg2": "to_sg"}
WEIGHED = {"V_mL": "volume_ml", "tol_V_mL": "tol_volume_ml", "u_fill_mL": "u_fill_ml"}
AT = {"T_C": "temperature_c"}

CHECKS: dict[str, Answer] = {
    # a. density, solids, dry mass
    "mean_density": answered(slurries.mean_density, outputs="rho_s"),
    "slurry": answered(
        slurries.slurry, outputs={"dry_kg_per_L": "dry_kg_per_l", "water_kg_per_L": "water_kg_per_l"}
    ),
    "rho_s_from_dry": answered(
        slurries.rho_s_from_dry, arguments={"dry_kg_per_L": "dry_kg_per_l"}, outputs="rho_s"
    ),
    "sg_from": answered(slurries.sg_from, arguments={"dry_kg_per_L": "dry_kg_per_l"}),
    "brongniart_oz": answered(
        brongniart.brongniart_dry_oz, arguments={"P": "pint_oz", "g": "solids_sg"}, outputs="W_oz"
    ),
    "brongniart_P": answered(
        brongniart.brongniart_pint_oz, arguments={"W": "dry_oz", "g": "solids_sg"}, outputs="P_oz"
    ),
    "brongniart_g": answered(
        brongniart.brongniart_solids_sg, arguments={"P": "pint_oz", "W": "dry_oz"}, outputs="g"
    ),
    "brongniart_SI": answered(slurries.dry_g_per_l, outputs="dry_g_per_L"),
    # b. making up, topping up, mixing
    "batch": answered(slurries.make_up, arguments={"V": "volume_l"}, outputs={"water_L": "water_l"}),
    "batch_moist": answered(slurries.make_up_moist, arguments={"V": "volume_l"}),
    "topup": answered(
        slurries.top_up,
        arguments={**FROM_TO, "V2": "to_volume_l"},
        outputs={
            "water_L": "water_l",
            "min_volume_L": "min_volume_l",
            "remove_slurry_first_L": "remove_slurry_first_l",
            "then_water_L": "then_water_l",
            "decant_instead_L": "decant_instead_l",
            "sg_if_powder_only_to_V2": "sg_if_powder_only",
        },
    ),
    "mix": answered(
        slurries.mix,
        arguments={
            "V1": "volume_1_l",
            "sg1": "sg_1",
            "rho_s1": "rho_s_1",
            "V2": "volume_2_l",
            "sg2": "sg_2",
            "rho_s2": "rho_s_2",
        },
        outputs={"V": "volume_l"},
    ),
    # c. thinning, thickening, decanting
    "thin": answered(slurries.thin, arguments=FROM_TO, outputs={"water_L": "water_l", "V2": "volume_l"}),
    "thin_by_mass": answered(
        slurries.thin_by_mass, arguments={**FROM_TO, "M1": "slurry_kg"}, outputs={"M2": "slurry_kg"}
    ),
    "thicken_powder": answered(slurries.thicken_powder, arguments=FROM_TO, outputs={"V2": "volume_l"}),
    "decant": answered(
        slurries.decant,
        arguments={**FROM_TO, "salt_g_per_L": "salt_g_per_l"},
        outputs={
            "decant_L": "decant_l",
            "clear_water_available_L": "clear_water_available_l",
            "V2": "volume_l",
        },
    ),
    "with_liquor": answered(
        slurries.with_liquor,
        outputs={
            "dry_assumed_kg_per_L": "dry_assumed_kg_per_l",
            "dry_true_kg_per_L": "dry_true_kg_per_l",
        },
    ),
    # d. side bucket
    "side_bucket": answered(
        slurries.side_bucket,
        arguments={"V": "volume_l"},
        outputs={"stock_L": "stock_l", "water_L": "water_l"},
    ),
    "side_bucket_thicker": answered(
        slurries.side_bucket_thicker, arguments={"V": "volume_l"}, outputs={"stock_L": "stock_l"}
    ),
    # e. measuring SG
    "rho_known_volume": answered(
        gravity.sg_known_volume, arguments={"V_mL": "volume_ml"}, outputs="rho"
    ),  # with water at 1 kg/L the SG is the density
    "sg_same_vessel": answered(gravity.sg_same_vessel, arguments=AT),
    "baume": either_way(
        ("sg", answered(gravity_scales.baume_from_sg, outputs="Be")),
        ("Be", answered(gravity_scales.sg_from_baume, arguments={"Be": "degrees"}, outputs="sg")),
    ),
    "twaddell": either_way(
        ("sg", answered(gravity_scales.twaddell_from_sg, outputs="Tw")),
        ("Tw", answered(gravity_scales.sg_from_twaddell, arguments={"Tw": "degrees"}, outputs="sg")),
    ),
    "density_units": answered(
        gravity_scales.density_units,
        arguments={"rho": "rho_kg_per_l"},
        outputs={
            "oz_per_US_pint": "oz_per_us_pint",
            "g_per_100mL": "g_per_100ml",
            "lb_per_US_gal": "lb_per_us_gal",
        },
    ),
    "sg_from_pint_weight": answered(
        gravity_scales.sg_from_pint_weight, arguments={"P_oz": "pint_oz"}, outputs="sg"
    ),
    "u_sg": answered(gravity.uncertainty_of_weighing, arguments=WEIGHED),
    "u_sg_ratio": answered(gravity.uncertainty_of_ratio, arguments=WEIGHED),
    "verdict": answered(gravity.verdict, outputs={"verdict": "word"}),
    "u_dry": answered(
        gravity.uncertainty_of_dry,
        arguments={"V": "volume_l", "u_V": "u_volume_l", "u_sg_": "u_sg"},
        outputs={"part_V": "part_volume_kg", "part_sg": "part_sg_kg", "part_rho_s": "part_rho_s_kg"},
    ),
    "hydrometer": answered(
        gravity.hydrometer,
        arguments={**AT, "T_cal_C": "calibrated_at_c", "T_ref_water_C": "water_reference_c"},
        outputs={"rho_at_T": "rho_at_t", "sg_T_T": "sg_t_t", "rho_at_Tcal": "rho_at_t_cal"},
    ),
    # f. water
    "water_tanaka": answered(water.water_density_kg_per_m3, arguments=AT, outputs="rho"),
    "water_kell": answered(
        water.water_density_kell_kg_per_m3, arguments={**AT, "d": "denominator"}, outputs="rho"
    ),
    "water_viscosity": answered(water.water_viscosity_mpas, arguments=AT, outputs="mu_mPas"),
    # g. buckets
    "bucket_volume": bucket_volume,
    "bucket_depth": answered(
        vessels.depth_of_volume_cm,
        arguments={"V": "volume_l", "D_bottom_cm": "bottom_cm", "D_top_cm": "top_cm", "H_cm": "height_cm"},
        outputs="h_cm",
    ),
    # n. coverage
    "coverage": answered(
        coating.coverage,
        arguments={"coat_g_cm2": "coat_g_per_cm2"},
        outputs={"m2_per_L": "m2_per_l", "mL_per_cm2": "ml_per_cm2"},
    ),
    "cylinder_area": answered(
        coating.cylinder_area_cm2,
        arguments={"d_cm": "diameter_cm", "h_cm": "height_cm"},
        outputs="area_cm2",
    ),
    "pieces": answered(
        coating.pieces,
        arguments={
            "V": "volume_l",
            "V_keep": "keep_l",
            "coat_g_cm2": "coat_g_per_cm2",
            "extra_mL_per_piece": "extra_ml",
        },
        outputs={"mL_per_piece": "ml_per_piece"},
    ),
    "drag_out": answered(
        coating.drag_out, outputs={"coat_g_cm2": "coat_g_per_cm2", "slurry_mL": "slurry_ml"}
    ),
}
