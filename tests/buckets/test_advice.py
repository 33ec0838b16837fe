"""What brings a bucket to its target. Values of slurry_checks.json and scenario A, by script there."""

from decimal import Decimal

import pytest

from buckets.advice import to_target
from buckets.models import Fill, Reading

WINDOW = {"half_window": Decimal("0.02")}


def fill(litres: str, sg: str | None, target: str | None, **more) -> Fill:
    reading = Reading(sg=Decimal(sg), is_check=True, pk=1) if sg else None
    return Fill(
        volume_l=Decimal(litres),
        check_reading=reading,
        target_sg=target and Decimal(target),
        **WINDOW,
        **more,
    )


def test_thinning_scenario_a2_gives_653_ml_into_4_2_litres():
    said = to_target(fill("4.2", "1.52", "1.45"))
    assert said.way == "thin"
    assert (said.water_l, said.volume_l) == (Decimal("0.653"), Decimal("4.853"))


def test_the_first_85_percent_of_scenario_a7():
    said = to_target(fill("14.05", "1.484", "1.45"))
    # A7: 1.062 L in all, 0.902 L first, predicted 1.4549 after 0.90 L
    assert (said.water_l, said.first_l) == (Decimal("1.062"), Decimal("0.902"))
    assert said.after_first_sg == pytest.approx(Decimal("1.4549"), abs=Decimal("0.0002"))


def test_thickening_with_powder_is_check_value_c5_scaled_to_its_inputs():
    # slurry.md c: x = rho_s V (G2 - G1) / (rho_s - G2); 2.6 x 10 x 0.07 / 1.15 = 1.58261 kg (c5)
    said = to_target(
        fill("10", "1.38", "1.45", particle_density=Decimal("2.6"), contents=[{"material": "Silica"}])
    )
    assert said.way == "thicken"
    assert said.powder_g == Decimal(1583)
    # c3: 10 L from 1.38 to 1.45 lose 1.55556 L of water
    assert (said.leaves_l, said.left_l) == (Decimal("1.556"), Decimal("8.444"))
    assert said.may_decant


def test_no_powder_is_named_without_a_density_and_no_water_off_where_something_dissolves():
    said = to_target(fill("10", "1.38", "1.45"))
    assert (said.powder_g, said.may_decant) == (None, False)
    soluble = to_target(fill("10", "1.38", "1.45", soluble=True, contents=[{"material": "Borax"}]))
    assert not soluble.may_decant


def test_at_the_target_nothing_goes_in():
    assert to_target(fill("10", "1.45", "1.45")).way == "at target"


@pytest.mark.parametrize(
    "row",
    [fill("10", None, "1.45"), fill("10", "1.5", None), fill("0", "1.5", "1.45"), fill("10", "1", "1.45")],
)
def test_without_a_reading_a_target_or_litres_there_is_no_advice(row):
    assert to_target(row) is None
