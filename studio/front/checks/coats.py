"""Coats on bisque: section j of the slurries, sections 3a to 3e of the layering."""

from typing import Any

from buckets.calc import casting, coats, layers, over, waiting
from studio.front.checks.answers import Answer, answered
from studio.room.calc import bodies

K = "K_g2_cm4_s"
COAT = {"coat_g_cm2": "coat_g_per_cm2", "film_g_cm2": "film_g_per_cm2"}
WATER = {
    "water_mL_cm2": "water_ml_per_cm2",
    "filtrate_mL_cm2": "filtrate_ml_per_cm2",
    "pore_water_mL_cm2": "pore_water_ml_per_cm2",
    "slurry_mL_cm2": "slurry_ml_per_cm2",
}


def drying(*, water_mL_cm2: float, coats: int, capacity_mL_cm2: float, **given: Any) -> dict[str, Any]:  # noqa: N803
    """So many coats alike: the strict count has one water for each."""
    return strict_drying(q=[water_mL_cm2] * coats, capacity=capacity_mL_cm2, **given)


def strict_drying(*, rate_g_cm2_h: float, **given: Any) -> dict[str, Any]:
    return _strict_drying(rate_g_per_cm2_h=rate_g_cm2_h, **given)


_strict_drying = answered(waiting.strict_drying, arguments={"q": "waters_ml_per_cm2"})


def zone_stack(*, coats: list[dict[str, float]]) -> dict[str, Any]:
    return _zone_stack(coats=[layers.Coat(**coat) for coat in coats])


_zone_stack = answered(
    layers.zone_stack,
    outputs={**WATER, "dry_g_cm2": "dry_g_per_cm2", "water_total_mL_cm2": "water_total_ml_per_cm2"},
)


def sequence(*, coats: list[dict[str, float]], rate_g_cm2_h: float, **given: Any) -> dict[str, Any]:
    """Coats in, one answer for each out."""
    told = [layers.Coat(**coat) for coat in coats]
    after = layers.sequence(coats=told, rate_g_per_cm2_h=rate_g_cm2_h, **given)
    renamed = {"largest_coat_g_per_cm2": "largest_coat_g_cm2"}
    return {"coats": [{renamed.get(name, name): x for name, x in vars(one).items()} for one in after]}


def dip_time_over(*, m_under: float, dm: float, **at: float) -> dict[str, Any]:
    """At the tile's own SG (``K``), or at another one (``K_cal``, with both SGs)."""
    k = at["K"] if "K" in at else _k_at_sg(**at)["k"]
    return {"K": k, "t_s": coats.seconds_over(k=k, under_g_per_cm2=m_under, add_g_per_cm2=dm)}


_k_at_sg = answered(coats.k_at_sg, arguments={"K_cal": "k", "sg": "sg_new", "phi_c": "phi_coat"})


CHECKS: dict[str, Answer] = {
    # j. coat build-up on bisque
    "coat_K": answered(coats.coat_k, arguments=COAT, outputs=K),
    "coat_two_tiles": answered(coats.coat_from_two_tiles, outputs={K: "k", "film_g_cm2": "film_g_per_cm2"}),
    "dip_time": answered(
        coats.dip_seconds, arguments={**COAT, "K": "k", "target_g_cm2": "coat_g_per_cm2"}, outputs="t_s"
    ),
    "K_at_sg": answered(coats.k_at_sg, arguments={"K": "k"}, outputs={K: "k"}),
    "coat_water": answered(coats.coat_water, arguments=COAT, outputs=WATER),
    "wall_capacity": answered(bodies.wall_capacity, outputs={"capacity_mL_cm2": "capacity_ml_per_cm2"}),
    "coats_left": answered(
        waiting.coats_left,
        arguments={
            "capacity_mL_cm2": "capacity_ml_per_cm2",
            "water_per_coat_mL_cm2": "water_per_coat_ml_per_cm2",
            "already_mL_cm2": "already_ml_per_cm2",
        },
        outputs={"remaining_mL_cm2": "remaining_ml_per_cm2"},
    ),
    "second_coat": answered(
        coats.second_coat,
        arguments={"K": "k"},
        outputs={"first_g_cm2": "first_g_per_cm2", "second_g_cm2": "second_g_per_cm2"},
    ),
    "drying": drying,
    "drying_rate": answered(bodies.drying_rate_g_per_cm2_h, outputs="rate_g_cm2_h"),
    "casting_K": answered(
        casting.casting_k,
        arguments={"P_Pa": "pressure_pa", "mu_mPas": "mu_mpas"},
        outputs={"K_m2_s": "k_m2_per_s"},
    ),
    "suction": answered(casting.suction_pa, outputs="P_Pa"),
    "kozeny": answered(casting.kozeny_um2, outputs="k_um2"),
    # layering 3a to 3e
    "zone_stack": zone_stack,
    "opposite_face": answered(
        layers.opposite_face, outputs={"total_capacity_mL_cm2": "total_capacity_ml_per_cm2"}
    ),
    "coat_water_parts": answered(layers.coat_water_parts, outputs=WATER),
    "will_it_take": answered(layers.will_it_take, outputs={"free_mL_cm2": "free_ml_per_cm2"}),
    "sequence": sequence,
    "strict_drying": strict_drying,
    "wait_until_builds": answered(
        waiting.wait_until_builds_h, arguments={"rate_g_cm2_h": "rate_g_per_cm2_h"}, outputs="wait_h"
    ),
    "dip_time_over": dip_time_over,
    "second_coat_unlike": answered(
        over.second_coat_unlike,
        arguments={"K1": "k1", "K2": "k2"},
        outputs={"second_g_cm2": "second_g_per_cm2"},
    ),
}
