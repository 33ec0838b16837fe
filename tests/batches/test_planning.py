"""What a wish comes to. Scenarios A and C of "day_in_the_room.md"; ways out of "slurry_checks.json" b."""

from decimal import Decimal

import pytest

from batches.planning import CannotBeMade, Wish, plan, scales_in_use
from studio.recipes.models import Version
from studio.room.models import Vessel
from studio.room.policy import in_force
from tests.batches import glazes

pytestmark = pytest.mark.django_db


def planned(version: Version, vessel: Vessel | None = None, **wish):
    given = {name: value if name == "kind" else Decimal(value) for name, value in wish.items()}
    given.setdefault("to_sg", version.target_sg)
    return plan(version, Wish(**given), vessel=vessel, scales=scales_in_use(), policy=in_force())


def scenario_a(version: Version, vessel: Vessel, litres: str = "15"):
    return planned(version, vessel, kind="bring to", litres=litres, old_volume_l="4.2", old_sg="1.52")


def test_scenario_a_brings_b02_to_15_litres():
    found = scenario_a(glazes.gannet_white(), glazes.room())

    assert found.exact_dry_g / 1000 == pytest.approx(Decimal("7.204"), abs=Decimal("0.001"))
    assert found.water_l == Decimal("8.162")
    assert found.first_water_l == Decimal("7.183")
    assert found.kept_water_l == Decimal("0.979")
    assert found.min_volume_l == Decimal("4.853")
    assert (found.thin_water_l, found.thin_volume_l) == (Decimal("0.653"), Decimal("4.853"))
    assert found.fill_pct == Decimal("73.7")
    assert found.limit_l == pytest.approx(Decimal("17.31"), abs=Decimal("0.01"))
    assert found.fits
    assert found.first_gross_kg == pytest.approx(Decimal("21.906"), abs=Decimal("0.001"))


def test_scenario_a_lines_sum_exactly_and_go_on_the_bulk_scale():
    found = scenario_a(glazes.gannet_white(), glazes.room())

    assert [line.target_g for line in found.lines] == [1441, 1834, 1113, 1113, 1048, 655]
    assert sum(line.target_g for line in found.lines) == found.dry_g == 7204
    assert found.base_g == 6549
    assert found.total_pct == 110
    assert found.rounding_g == pytest.approx(Decimal("0.2"), abs=Decimal("0.05"))
    assert [round(line.band_g, 1) for line in found.lines] == [
        Decimal(band) for band in ("14.4", "18.3", "11.1", "11.1", "10.5", "3.3")
    ]
    assert {line.scale_name for line in found.lines} == {"Bulk scale"}
    assert {line.loads for line in found.lines} == {1}
    assert [line.pct_of_base for line in found.lines] == [22, 28, 17, 17, 16, 10]


def test_scenario_a_refuses_18_litres_and_says_what_fits():
    with pytest.raises(CannotBeMade) as refused:
        scenario_a(glazes.gannet_white(), glazes.room(), litres="18")
    assert "88.4\u00a0%" in refused.value.sentence
    assert "17.31\u00a0L" in refused.value.sentence
    assert "17.3\u00a0L or less" in refused.value.sentence
    assert refused.value.field == "litres"


def test_scenario_c_says_base_and_total_and_splits_what_the_scale_can_not_carry():
    version = glazes.oat_husk()
    found = planned(version, glazes.room(), kind="dry base", dry_g="11500")

    assert (found.base_g, found.dry_g) == (11500, 11845)
    assert [line.target_g for line in found.lines] == [5060, 2300, 2760, 460, 920, 345]
    assert [line.loads for line in found.lines] == [2, 1, 1, 1, 1, 1]
    assert [line.scale_name for line in found.lines] == [*["Bulk scale"] * 5, "Fine scale"]
    assert found.water_l == Decimal("11.399")
    assert found.first_water_l == Decimal("10.031")
    assert found.to_volume_l == pytest.approx(Decimal("15.81"), abs=Decimal("0.01"))
    assert found.first_gross_kg == pytest.approx(Decimal("23.011"), abs=Decimal("0.001"))
    assert found.heavy


def test_dry_mass_in_all_is_the_same_batch_said_the_other_way():
    version = glazes.oat_husk()
    glazes.room()
    by_base = planned(version, kind="dry base", dry_g="11500")
    in_all = planned(version, kind="dry total", dry_g="11845")
    assert by_base == in_all
    assert in_all.fits is None
    assert in_all.gross_kg is None


@pytest.mark.parametrize("sg", ["1", "0.95", "2.731", "3"])
def test_an_sg_that_no_slurry_has_is_refused_with_the_range(sg):
    with pytest.raises(CannotBeMade) as refused:
        planned(glazes.gannet_white(), kind="litres", litres="10", to_sg=sg)
    assert "above 1 and below 2.731" in refused.value.sentence
    assert refused.value.field == "to_sg"


def plain_26() -> Version:
    """A recipe of one material with density 2.6, as the check values have it."""
    glazes.STORE["Grit"] = ("2.6", "plain", "", "GR-01", "50000", "1.00")
    return glazes.recipe("Plain", [("base", "Grit", "100")], sg="1.4")


def test_too_much_solids_tells_both_ways_out():
    # slurry_checks.json b4: 10 L at 1.6 to 11 L at 1.4; V_min 15 L, r 2.66667 L then 3.66667 L
    with pytest.raises(CannotBeMade) as refused:
        planned(plain_26(), kind="bring to", litres="11", old_volume_l="10", old_sg="1.6")
    water, out = refused.value.ways
    assert "(5\u00a0L) it becomes 15\u00a0L" in water
    assert "take out 2.67\u00a0L of stirred glaze first, then add 3.67\u00a0L of water" in out


def test_too_much_water_tells_four_ways_out():
    # slurry_checks.json b5: 10 L at 1.3 to 11 L at 1.5; V_min 11.8182 L, r 0.692308 L then 4.4 kg,
    # decant 0.5625 L then 4.0625 kg, powder alone to 11 L gives 1.41818
    with pytest.raises(CannotBeMade) as refused:
        planned(plain_26(), kind="bring to", litres="11", to_sg="1.5", old_volume_l="10", old_sg="1.3")
    least, out, decant, powder = refused.value.ways
    assert "the least is 11.82\u00a0L" in least
    assert "692\u00a0mL" in out
    assert "4.4\u00a0kg" in out
    assert "563\u00a0mL of clear water" in decant
    assert "4.063\u00a0kg" in decant
    assert "1.418" in powder


def test_nothing_is_decanted_from_a_recipe_that_dissolves():
    version = plain_26()
    version.soluble = True
    with pytest.raises(CannotBeMade) as refused:
        planned(version, kind="bring to", litres="11", to_sg="1.5", old_volume_l="10", old_sg="1.3")
    assert "no way here" in refused.value.ways[2]
    assert "563" not in refused.value.sentence


def test_less_than_what_is_in_it_is_refused_so():
    # slurry_checks.json b11: 12 L at 1.4 to 8 L at 1.45; r 4.33333 L, then 0.866667 kg
    with pytest.raises(CannotBeMade) as refused:
        planned(plain_26(), kind="bring to", litres="8", to_sg="1.45", old_volume_l="12", old_sg="1.4")
    assert "holds 12\u00a0L at 1.400, more than the 8\u00a0L asked for" in refused.value.sentence
    assert "take out 4.33\u00a0L" in refused.value.sentence
    assert "867\u00a0g" in refused.value.sentence


def test_water_alone_needs_no_batch():
    # slurry_checks.json b6: 10 L at 1.6 to 15 L at 1.4 is water only, 5 L
    with pytest.raises(CannotBeMade, match="No powder is needed: 5\u00a0L of water"):
        planned(plain_26(), kind="bring to", litres="15", old_volume_l="10", old_sg="1.6")


def test_an_empty_bucket_is_made_from_nothing():
    glazes.room()
    version = glazes.gannet_white()
    brought = planned(version, kind="bring to", litres="10")
    made = planned(version, kind="litres", litres="10")
    assert brought == made


def blue(parts: str) -> Version:
    return glazes.recipe(
        f"Blue {parts}", [("base", "Silica", "100"), ("addition", "Cobalt carbonate", parts)], sg="1.45"
    )


def test_a_line_under_the_smallest_sensible_weight_is_marked():
    glazes.room()
    # 0.25 % of 2 kg is 5 g: under 82 divisions of 0.1 g ("edge_cases.md" 15)
    found = planned(blue("0.25"), kind="dry base", dry_g="2000")
    assert [line.too_light for line in found.lines] == [False, True]
    assert found.lines[1].target_g == 5
    assert found.lines[1].smallest_g == Decimal("8.2")


def test_a_line_that_no_scale_shows_is_refused_never_rounded_to_nothing():
    glazes.room()
    with pytest.raises(CannotBeMade) as refused:
        planned(blue("0.002"), kind="dry base", dry_g="2000")
    assert "Cobalt carbonate would be 0.04\u00a0g" in refused.value.sentence
    # 8.2 g of 0.002 % on top: 8.2 x 100.002 / 0.002 g = 410.008 kg
    assert "410.008\u00a0kg" in refused.value.sentence


def test_without_a_scale_lines_are_given_to_a_tenth():
    found = planned(glazes.gannet_white(), kind="litres", litres="10")
    assert {line.scale_id for line in found.lines} == {None}
    assert sum(line.target_g for line in found.lines) == found.dry_g


def test_a_pocket_scale_with_less_room_than_the_pot_is_left_out():
    from tests.factories import ScaleFactory

    glazes.scales()
    ScaleFactory(name="Pocket scale", division_g="0.01", capacity_g="100")
    found = planned(glazes.gannet_white(), kind="dry base", dry_g="1000")
    assert {line.scale_name for line in found.lines} <= {"Bulk scale", "Fine scale"}
