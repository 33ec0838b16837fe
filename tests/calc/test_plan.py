"""From a recipe to the grams of every line."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from batches.calc.plan import RecipeLine, exact_masses_g, percents, scale_lines

ONE, TENTH = Decimal(1), Decimal("0.1")


def recipe(base, additions=()):
    lines = [RecipeLine(f"b{i}", "base", Decimal(str(p))) for i, p in enumerate(base)]
    return lines + [RecipeLine(f"a{i}", "addition", Decimal(str(p))) for i, p in enumerate(additions)]


RECIPES = st.builds(
    recipe,
    st.lists(st.decimals(min_value="0.5", max_value=60, places=2), min_size=1, max_size=7),
    st.lists(st.decimals(min_value="0.1", max_value=12, places=2), max_size=4),
)


def test_parts_that_sum_to_87_are_shown_in_percent_of_themselves():
    # chemistry_checks.json b1
    found = percents(lines=recipe([33, 24, 17, 13]))
    assert found.base_parts == 87
    wanted = ["37.931", "27.5862", "19.5402", "14.9425"]
    assert [float(line.pct_of_base) for line in found.lines] == pytest.approx(
        [float(w) for w in wanted], abs=6e-5
    )


def test_additions_are_percent_of_the_base_and_come_on_top():
    # chemistry_checks.json b13: base 100.4, addition 4
    found = percents(lines=recipe(["39.9", "30.2", "20.1", "10.2"], [4]))
    assert float(found.lines[-1].pct_of_base) == pytest.approx(3.98406, abs=6e-5)
    assert float(found.total_pct) == pytest.approx(103.98406, abs=6e-5)


@pytest.mark.parametrize(
    ("given_g", "masses"),
    [
        # chemistry_checks.json b2 and b3: the same amount, as base and as everything
        ({"base_g": Decimal(5000)}, ["2000", "1500", "1000", "500", "400", "100"]),
        (
            {"total_dry_g": Decimal(5000)},
            ["1818.1818", "1363.6364", "909.0909", "454.5455", "363.6364", "90.9091"],
        ),
    ],
)
def test_an_amount_is_the_base_or_everything_and_they_differ(given_g, masses):
    found = exact_masses_g(lines=recipe([40, 30, 20, 10], [8, 2]), **given_g)
    assert list(found.values()) == [Decimal(mass) for mass in masses]


def test_both_the_base_and_the_total_are_told():
    # day_in_the_room C: 11.5 kg of base, tin oxide 3 % on top on a 0.1 g scale
    lines = recipe([44, 20, 24, 4, 8], [3])
    divisions = {line.key: TENTH if line.kind == "addition" else ONE for line in lines}
    plan = scale_lines(lines=lines, divisions_g=divisions, base_g=Decimal(11500))
    assert [line.mass_g for line in plan.lines] == [5060, 2300, 2760, 460, 920, 345]
    assert (plan.base_g, plan.total_g, plan.rounding_g) == (11500, 11845, 0)
    other_way = scale_lines(lines=lines, divisions_g=divisions, total_dry_g=Decimal(11845))
    assert other_way == plan


def test_a_colourant_on_the_fine_scale_never_carries_the_rounding_of_the_bulk():
    # 5 kg in all with 0.25 % of the base: 12.4688 g of colourant
    lines = recipe([60, 40], ["0.25"])
    plan = scale_lines(
        lines=lines, divisions_g={"b0": ONE, "b1": ONE, "a0": TENTH}, total_dry_g=Decimal(5000)
    )
    assert [line.mass_g for line in plan.lines] == [2993, 1995, Decimal("12.5")]
    assert plan.total_g == Decimal("5000.5")
    assert plan.rounding_g == Decimal("0.5")


def test_the_bulk_takes_what_the_fine_scale_leaves_so_the_total_is_never_off_by_more_than_half_a_division():
    # by hand: 989.49 g and 10.549 g are 1000.039 g; each rounded for itself they would sum to 999.5 g
    lines = recipe(["98949"], ["1054.9"])
    plan = scale_lines(lines=lines, divisions_g={"b0": ONE, "a0": TENTH}, base_g=Decimal("989.49"))
    assert [line.mass_g for line in plan.lines] == [990, Decimal("10.5")]
    assert plan.rounding_g == Decimal("0.461")


@given(lines=RECIPES, total=st.decimals(min_value=500, max_value=30000, places=1), data=st.data())
def test_lines_sum_to_the_total_and_each_is_next_to_its_exact_mass(lines, total, data):
    fine = data.draw(st.sets(st.sampled_from([line.key for line in lines])))
    divisions = {line.key: TENTH if line.key in fine else ONE for line in lines}
    plan = scale_lines(lines=lines, divisions_g=divisions, total_dry_g=total)
    coarsest = max(divisions.values())
    assert plan.total_g == sum(line.mass_g for line in plan.lines)
    assert plan.total_g - plan.rounding_g == plan.exact_total_g == total
    assert abs(plan.rounding_g) <= coarsest / 2
    for line in plan.lines:
        assert line.mass_g % line.division_g == 0
        # its own step, and for the coarsest what the finer scales' rounding leaves over
        slack = line.division_g + (TENTH if line.division_g == coarsest else 0)
        assert abs(line.mass_g - line.exact_g) <= slack + Decimal("0.0001")


@given(lines=RECIPES, base=st.decimals(min_value=500, max_value=30000, places=1))
def test_on_one_scale_the_total_is_the_asked_one_to_the_division(lines, base):
    plan = scale_lines(lines=lines, divisions_g={line.key: ONE for line in lines}, base_g=base)
    exact = Fraction(base) * sum(Fraction(line.parts) for line in lines)
    exact /= sum(Fraction(line.parts) for line in lines if line.kind == "base")
    assert abs(Fraction(plan.total_g) - exact) <= Fraction(1, 2)
    assert plan.base_g == sum(line.mass_g for line in plan.lines if line.kind == "base")


def test_a_line_that_would_round_to_nothing_is_named():
    plan = scale_lines(
        lines=recipe([100], ["0.01"]), divisions_g={"b0": ONE, "a0": ONE}, total_dry_g=Decimal(1000)
    )
    assert plan.too_small == ("a0",)


@pytest.mark.parametrize(
    ("lines", "options", "words"),
    [
        (recipe([], [3]), {"base_g": ONE}, "at least one base line"),
        (recipe([0]), {"base_g": ONE}, "parts of b0 must be above 0, got 0"),
        (recipe([-5]), {"base_g": ONE}, "parts of b0 must be above 0, got -5"),
        (recipe(["NaN"]), {"base_g": ONE}, "parts of b0 must be above 0"),
        (recipe([1]) * 2, {"base_g": ONE}, "a key of its own"),
        (recipe([1]), {}, "one of total_dry_g and base_g is wanted"),
        (recipe([1]), {"base_g": ONE, "total_dry_g": ONE}, "one of total_dry_g and base_g is wanted"),
        (recipe([1]), {"base_g": Decimal(0)}, "must be above 0 g, got 0"),
        (recipe([1]), {"base_g": Decimal("Infinity")}, "must be above 0 g"),
    ],
)
def test_a_recipe_or_amount_that_makes_no_batch_is_refused(lines, options, words):
    with pytest.raises(ValueError, match=words):
        scale_lines(lines=lines, divisions_g={"b0": ONE, "a0": ONE}, **options)


def test_a_line_without_a_division_is_refused_by_name():
    with pytest.raises(ValueError, match="got none for b1"):
        scale_lines(lines=recipe([1, 2]), divisions_g={"b0": ONE}, base_g=ONE)
