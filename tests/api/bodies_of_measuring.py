"""Good requests for the acts of measuring: instruments, readings, flow, density."""

from typing import Any

from studio.room.operations import flow_cups, hydrometers
from tests import factories
from tests.api.asking import amount


def acts() -> dict[str, Any]:
    """By the name of the act: its address and a body that is taken."""
    return {**_gauges(), **_of_fills()}


def _gauges() -> dict[str, Any]:
    by = factories.bram()
    hydrometer, old = factories.HydrometerFactory(), factories.HydrometerFactory(name="Old one")
    hydrometers.retire_hydrometer(hydrometer=old, by=by)
    cup, old_cup = factories.FlowCupFactory(), factories.FlowCupFactory(name="Dented cup")
    flow_cups.retire_flow_cup(flow_cup=old_cup, by=by)
    glass, vessel = factories.GlassFactory(name="To calibrate"), factories.VesselFactory(code="B45")
    scale = factories.ScaleFactory(name="For water", division_g="0.1", capacity_g="600")
    on_stem = {"division": "0.5", "modulus": 145, "calibrated_at_c": "15.6", "water_reference_c": "15.6"}
    float_ = {"name": "Short one", "shows": "baumé", **on_stem, "expansion_per_c": "0.000025"}
    return {
        "add_hydrometer": ("hydrometers/add-hydrometer/", float_),
        "change_hydrometer": (
            f"hydrometers/{hydrometer.pk}/change-hydrometer/",
            {**float_, "name": "Long hydrometer"},
        ),
        "retire_hydrometer": (f"hydrometers/{hydrometer.pk}/retire-hydrometer/", {}),
        "bring_back_hydrometer": (f"hydrometers/{old.pk}/bring-back-hydrometer/", {}),
        "add_flow_cup": ("flow-cups/add-flow-cup/", {"name": "Our own cup"}),
        "change_flow_cup": (f"flow-cups/{cup.pk}/change-flow-cup/", {"name": "Cup", "standard": "D1200-4"}),
        "retire_flow_cup": (f"flow-cups/{cup.pk}/retire-flow-cup/", {}),
        "bring_back_flow_cup": (f"flow-cups/{old_cup.pk}/bring-back-flow-cup/", {}),
        "calibrate_glass": (
            f"glass/{glass.pk}/calibrate-glass/",
            {
                "scale": scale.pk,
                "empty_g": amount("65.7", "g"),
                "full_g": amount("165.3", "g"),
                "temperature_c": 20,
                "reading_ml": "0.1",
            },
        ),
        "measure_offset": (
            f"vessels/{vessel.pk}/measure-offset/",
            # 5.33 and 16.21 L of cone at 10 and 28.5 cm (pail P20, by its formula), 0.2 L more in each
            {
                "low_cm": 10,
                "low_g": amount("6.66", "kg"),
                "high_cm": "28.5",
                "high_g": amount("17.52", "kg"),
                "temperature_c": 20,
            },
        ),
    }


def _of_fills() -> dict[str, Any]:
    fill = factories.FillFactory(vessel=factories.VesselFactory(), state="in use")
    timed, marked = factories.FlowFactory(fill=fill), factories.FlowFactory(fill=fill)
    dried = factories.DensityFactory(fill=fill)
    at = f"fills/{fill.pk}/"
    return {
        "record_flow": (
            f"{at}record-flow/",
            {"cup": timed.cup_id, "seconds": "32.5", "temperature_c": 21, "is_reference": True},
        ),
        "take_back_flow": (f"flows/{timed.pk}/take-back-flow/", {"reason": "the cup was not level"}),
        "mark_flow_reference": (f"flows/{marked.pk}/mark-flow-reference/", {}),
        "measure_density": (
            f"{at}measure-density/",
            {
                "glass": dried.glass_id,
                "scale": factories.ScaleFactory(name="Fine scale").pk,
                "tare_g": amount(60, "g"),
                "gross_g": amount("204.7", "g"),
                "pan_g": amount(80, "g"),
                "pan_dry_g": amount("153.2", "g"),
                "temperature_c": 20,
            },
        ),
        "take_back_density": (f"densities/{dried.pk}/take-back-density/", {"reason": "it was not dry"}),
    }
