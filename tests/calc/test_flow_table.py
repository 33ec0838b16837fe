"""The table of SG and flow ("slurry.md" k, common practice, no source), and its doses."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckets.calc.flow_table import ADDITIVES, CELLS, MARK, cell_of, pace_of

SIDES, PACES = ("low", "ok", "high"), ("fast", "ok", "slow")


def test_there_is_a_sentence_for_every_corner_and_one_use():
    assert set(CELLS) == {(side, pace) for side in SIDES for pace in PACES}
    assert [where for where, cell in CELLS.items() if cell.first == "use"] == [("ok", "ok")]
    assert MARK == "common practice, no source"


def test_gravity_is_put_right_before_flow():
    for (side, pace), cell in CELLS.items():
        expected = "sg" if side != "ok" else "use" if pace == "ok" else "flow"
        assert cell.first == expected


def test_water_goes_only_into_what_is_too_heavy():
    assert {where for where, cell in CELLS.items() if cell.water} == {("high", pace) for pace in PACES}
    for where in (("low", "slow"), ("ok", "slow")):
        assert "no water" in CELLS[where].sentence.lower()


@given(reference=st.floats(5, 200), share=st.floats(0.2, 3))
def test_ten_percent_either_way_is_as_it_should_be(reference, share):
    pace = pace_of(seconds=reference * share, reference_s=reference)
    if share < 0.8999:
        assert pace == "fast"
    elif share > 1.1001:
        assert pace == "slow"
    elif 0.9001 < share < 1.0999:
        assert pace == "ok"


@given(seconds=st.floats(1, 200), reference=st.floats(1, 200))
def test_more_seconds_are_never_a_faster_flow(seconds, reference):
    order = {"fast": 0, "ok": 1, "slow": 2}
    slower = pace_of(seconds=seconds * 1.2, reference_s=reference)
    assert order[slower] >= order[pace_of(seconds=seconds, reference_s=reference)]


def test_the_sentence_of_an_ok_gravity_that_flows_fast_asks_for_flocculant():
    assert "flocculant in small steps" in cell_of(side="ok", pace="fast").sentence


@pytest.mark.parametrize("wrong", [{"seconds": 0}, {"seconds": math.nan}, {"reference_s": -1}, {"within": 0}])
def test_impossible_times_are_refused_by_name(wrong):
    with pytest.raises(ValueError, match=next(iter(wrong))):
        pace_of(**{"seconds": 20, "reference_s": 20, **wrong})


def test_every_dose_has_its_mark_and_what_is_dangerous_its_caution():
    for item in ADDITIVES.values():
        assert item.mark
        assert (item.low_pct is None) == (item.high_pct is None)
        if item.low_pct is not None:
            assert 0 < item.low_pct < item.high_pct <= 2
    assert "data sheet" in ADDITIVES["biocide"].caution
    assert "data sheet" in ADDITIVES["gum"].caution
    assert ADDITIVES["biocide"].low_pct is None  # its sheet says, nobody else


def test_the_doses_are_those_of_the_reference():
    # slurry.md k: heptahydrate 0.05 to 0.3 %, calcium chloride 0.02 to 0.2 %, deflocculants 0.05 to 0.3 %
    told = {name: (item.low_pct, item.high_pct) for name, item in ADDITIVES.items()}
    assert told["magnesium sulfate"] == (0.05, 0.3)
    assert told["calcium chloride"] == (0.02, 0.2)
    assert told["sodium silicate"] == told["sodium polyacrylate"] == (0.05, 0.3)
    assert told["gum"] == (0.5, 1.5)  # application.md 33
    assert ADDITIVES["magnesium sulfate"].hydrate_factor == pytest.approx(2.04772)  # slurry.md m
