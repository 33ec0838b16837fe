"""Restocking bucket B02: every number of acceptance scenario A through our functions.

Source: acceptance scenario A, invented data, arithmetic by a script. Each number is met within the
scenario's own conventions: masses 1 g, litres 0.01, SG 0.001, percentages 1 in the last digit printed;
uncertainties and predicted SG to the digit printed.
"""

from decimal import Decimal

import pytest

from batches.calc.plan import RecipeLine, exact_masses_g, percents, scale_lines
from batches.calc.tolerance import Scale, accept_band_g, choose_scale, judge, loads
from batches.calc.water import (
    after_first_water,
    expected_gross_kg,
    first_water,
    gross_is_right,
    last_water,
    theoretical_kg,
    yield_pct,
)
from buckets.calc.lineage import dry_shares
from studio.calc.coating import cylinder_area_cm2, pieces
from studio.calc.gravity import mean_of_readings, sg_known_volume, uncertainty_of_weighing, verdict
from studio.calc.slurry import dry_from_volume, sg_after_water, thin, top_up, volume_from_mass
from studio.room.calc.vessels import (
    brim_l,
    depth_of_volume_cm,
    fill_limit_l,
    share_of_brim_pct,
    volume_at_depth_l,
)

P20 = {"bottom_cm": 25.6, "top_cm": 28.8, "height_cm": 35.0}
VESSEL_KG = 1.135
RHO_S = 2.731
TARGET, HALF_WINDOW = 1.45, 0.02
OLD_L, OLD_SG = 4.2, 1.520

ONE, TENTH = Decimal(1), Decimal("0.1")
FINE = Scale("fine", capacity_g=Decimal(600), division_g=TENTH)
BULK = Scale("bulk", capacity_g=Decimal(5000), division_g=ONE)
LINES = [
    RecipeLine("Soda feldspar", "base", Decimal(22)),
    RecipeLine("Frit A", "base", Decimal(28)),
    RecipeLine("Silica", "base", Decimal(17)),
    RecipeLine("Kaolin", "base", Decimal(17)),
    RecipeLine("Wollastonite", "base", Decimal(16)),
    RecipeLine("Zirconium silicate", "addition", Decimal(10)),
]
# line: percent, target, band, weighed, difference
SHEET = {
    "Soda feldspar": ("22", 1441, "14.4", 1442, 1),
    "Frit A": ("28", 1834, "18.3", 1831, -3),
    "Silica": ("17", 1113, "11.1", 1113, 0),
    "Kaolin": ("17", 1113, "11.1", 1115, 2),
    "Wollastonite": ("16", 1048, "10.5", 1047, -1),
    "Zirconium silicate": ("10", 655, "3.3", 656, 1),
}

GRAM, LITRE, SG = 0.001, 0.01, 0.001  # kg, L, SG


def about(value, within):
    return pytest.approx(value, rel=0, abs=within)


@pytest.fixture
def plan():
    return top_up(volume_l=OLD_L, sg=OLD_SG, to_volume_l=15, to_sg=TARGET, rho_s_added=RHO_S)


@pytest.fixture
def sheet(plan):
    return scale_lines(
        lines=LINES,
        divisions_g={line.key: ONE for line in LINES},
        total_dry_g=Decimal(repr(plan.powder_kg)) * 1000,
    )


def test_step_1_depth_and_litres():
    measured = volume_at_depth_l(depth_cm=8.0, **P20)
    assert measured == about(4.24, LITRE)
    assert depth_of_volume_cm(volume_l=4.2, **P20) == about(7.93, 0.005)
    assert abs(measured - 4.2) < 0.15
    assert brim_l(**P20) == about(20.36, LITRE)
    assert fill_limit_l(limit_pct=85, **P20) == about(17.31, LITRE)


def test_step_2_the_reading_is_outside_and_water_alone_would_do():
    sg = sg_known_volume(gross_g=209.9, tare_g=58.2, volume_ml=99.8)
    assert sg == about(1.5200, 5e-5)
    u = uncertainty_of_weighing(sg=sg, volume_ml=99.8, tol_volume_ml=0.2, tol_scale_g=0.1)
    assert about(0.0039, 5e-5) == u.U
    judged = verdict(reading=sg, target=TARGET, half_window=HALF_WINDOW, u=u.u)
    assert (judged.word, judged.difference) == ("outside", about(0.070, SG))
    thinned = thin(volume_l=OLD_L, sg=OLD_SG, to_sg=TARGET)
    assert (thinned.volume_l, thinned.water_l) == (about(4.853, 5e-4), about(0.653, 5e-4))


def test_step_3_powder_and_water_for_15_litres(plan):
    assert plan.status == "ok"
    assert plan.powder_kg == about(7.204, GRAM)
    assert plan.water_l == about(8.162, 5e-4)
    assert plan.min_volume_l == about(4.853, 5e-4)
    assert share_of_brim_pct(volume_l=15, **P20) == about(73.7, 0.1)
    assert share_of_brim_pct(volume_l=18, **P20) == about(88.4, 0.1)
    assert 15 <= fill_limit_l(limit_pct=85, **P20) < 18


def test_step_4_the_sheet_on_both_bases(sheet):
    shown = percents(lines=LINES)
    assert shown.total_pct == 110
    assert {line.key: line.pct_of_base for line in shown.lines} == {
        name: Decimal(row[0]) for name, row in SHEET.items()
    }
    assert {line.key: line.mass_g for line in sheet.lines} == {name: row[1] for name, row in SHEET.items()}
    assert sheet.total_g == 7204
    assert sheet.base_g == 7204 - 655
    assert sheet.exact_total_g.quantize(TENTH) == Decimal("7203.8")
    assert sheet.rounding_g.quantize(TENTH) == Decimal("0.2")


def test_step_4_every_line_is_one_load_on_the_bulk_scale(plan):
    exact = exact_masses_g(lines=LINES, total_dry_g=Decimal(repr(plan.powder_kg)) * 1000)
    for name, grams in exact.items():
        chosen = choose_scale(target_g=grams, scales=[BULK, FINE], opacifier=name == "Zirconium silicate")
        assert (chosen.scale, chosen.loads) == (BULK, 1)
        assert loads(target_g=grams, capacity_g=BULK.capacity_g, division_g=ONE).count == 1
    assert exact["Zirconium silicate"] > FINE.capacity_g


def test_step_4_every_weighed_line_is_inside_its_band(sheet):
    for line in sheet.lines:
        _, target, band, weighed, difference = SHEET[line.key]
        found = accept_band_g(
            target_g=line.mass_g,
            share_pct=line.share_pct,
            division_g=line.division_g,
            opacifier=line.key == "Zirconium silicate",
        )
        assert float(found) == about(float(band), 0.05)
        judged = judge(net_g=Decimal(weighed), target_g=Decimal(target), band_g=found)
        assert (judged.word, judged.difference_g) == ("inside", difference)
    assert sum(row[3] for row in SHEET.values()) == 7204


def test_step_5_first_water_and_what_the_pail_should_weigh(plan):
    water = first_water(water_l=plan.water_l, hold_back_pct=12)
    assert (water.first_l, water.kept_l) == (about(7.183, 5e-4), about(0.979, 5e-4))
    expected = expected_gross_kg(
        vessel_kg=VESSEL_KG, powder_kg=7.204, water_l=water.first_l, old_volume_l=OLD_L, old_sg=OLD_SG
    )
    assert expected.gross_kg == about(21.906, GRAM)
    assert expected.band_kg == about(0.036, GRAM)
    assert 21.876 - expected.gross_kg == about(-0.030, GRAM)
    assert gross_is_right(gross_kg=21.876, expected=expected)
    assert not gross_is_right(gross_kg=21.876 - 0.5, expected=expected)


def test_step_6_prediction_before_the_last_water():
    then = after_first_water(powder_kg=7.204, rho_s=RHO_S, water_l=7.183, old_volume_l=OLD_L, old_sg=OLD_SG)
    assert then.volume_l == about(14.021, 5e-4)
    assert then.sg == about(1.4814, 5e-5)
    assert volume_at_depth_l(depth_cm=25.0, **P20) == about(14.05, LITRE)
    assert 1.484 - then.sg == about(0.0026, 5e-5)
    assert mean_of_readings(readings=[then.sg, 1.484], agree_within=0.01).agree


def test_step_7_the_last_water_from_the_reading():
    water = last_water(volume_l=14.05, sg=1.484, to_sg=TARGET, first_share_pct=85)
    assert water.all_l == about(1.062, 5e-4)
    assert water.first_l == about(0.902, 5e-4)
    assert sg_after_water(volume_l=14.05, sg=1.484, water_l=0.90) == about(1.4549, 5e-5)


def test_step_8_a_little_more_and_two_readings_that_agree():
    assert thin(volume_l=14.95, sg=1.456, to_sg=TARGET).water_l == about(0.199, 5e-4)
    readings = mean_of_readings(readings=[1.452, 1.450], agree_within=0.01)
    assert readings.agree
    assert readings.mean == about(1.4510, 5e-5)
    u = uncertainty_of_weighing(sg=readings.mean, volume_ml=100, tol_volume_ml=0.5, tol_scale_g=0.1)
    assert about(0.0085, 5e-5) == u.U
    judged = verdict(reading=readings.mean, target=TARGET, half_window=HALF_WINDOW, u=u.u)
    assert judged.word == "inside"
    assert judged.difference == about(0.001, 5e-5)
    assert judged.accept_within == about(0.0115, 5e-5)


def test_step_9_yield_by_mass():
    net = 23.119 - VESSEL_KG
    assert net == about(21.984, GRAM)
    theory = theoretical_kg(powder_kg=7.204, water_l=7.183 + 0.90 + 0.20, old_volume_l=OLD_L, old_sg=OLD_SG)
    assert theory == about(21.871, GRAM)
    found = yield_pct(net_kg=net, theoretical_kg=theory, low_pct=95, high_pct=102)
    assert found.pct == about(100.5, 0.1)
    assert found.inside


def test_step_10_lineage_and_how_many_mugs():
    old_kg = dry_from_volume(volume_l=OLD_L, sg=OLD_SG, rho_s=RHO_S)
    shares = dry_shares(dry_g={"old fill": Decimal(repr(old_kg)) * 1000, "batch": Decimal(7204)})
    assert float(100 * shares["old fill"]) == about(32.4, 0.1)
    volume = volume_from_mass(slurry_kg=21.984, sg=1.451)
    assert volume == about(15.15, LITRE)
    mug = cylinder_area_cm2(diameter_cm=8.5, height_cm=9.5, wall_cm=0.5)
    assert mug == about(509.92, 0.01)
    found = pieces(
        volume_l=volume, keep_l=5, area_cm2=mug, coat_g_per_cm2=0.080, extra_ml=4, sg=1.451, rho_s=RHO_S
    )
    assert found.pieces == 165
