"""Bands, scales and loads. Rules: batch record section 2 of the design, common practice, no source."""

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from batches.calc.tolerance import (
    Bands,
    Scale,
    accept_band_g,
    choose_scale,
    in_band,
    judge,
    loads,
    next_load,
    smallest_sensible_g,
)

ONE, TENTH = Decimal(1), Decimal("0.1")
FINE = Scale("fine", capacity_g=Decimal(600), division_g=TENTH)
BULK = Scale("bulk", capacity_g=Decimal(5000), division_g=ONE, kept_free_g=Decimal(512))
GRAMS = st.decimals(min_value="0.1", max_value=30000, places=1)


def d(text):
    return Decimal(text)


@pytest.mark.parametrize(
    ("target", "share", "kind", "division", "band"),
    [
        ("1441", "20", {}, "1", "14.41"),
        ("655", "9.09", {"opacifier": True}, "1", "3.275"),
        ("353.6", "2.9", {"colourant": True}, "0.1", "1.768"),
        ("12.5", "0.25", {"colourant": True}, "0.1", "0.1"),  # 0.1 g is the larger
        ("12.5", "0.25", {"colourant": True}, "1", "1"),  # never under one division of the scale
        ("60", "4", {}, "1", "1"),
        ("60", "4", {}, "0.1", "0.6"),
        ("100", "1", {"additive": True}, "0.1", "2.00"),
    ],
)
def test_the_band_of_a_line(target, share, kind, division, band):
    found = accept_band_g(target_g=d(target), share_pct=d(share), division_g=d(division), **kind)
    assert found == d(band)


def test_a_studio_may_set_other_bands_by_share():
    strict = Bands(large_pct=d("0.5"), small_pct=d("3"))
    at = {"target_g": d("1000"), "division_g": ONE, "bands": strict}
    assert accept_band_g(share_pct=d("5"), **at) == 5
    assert accept_band_g(share_pct=d("4.99"), **at) == 30


@given(
    target=GRAMS,
    more=GRAMS,
    share=st.decimals(min_value="0.01", max_value=100, places=2),
    colour=st.booleans(),
)
def test_a_heavier_line_never_has_a_narrower_band_and_no_band_is_under_a_division(
    target, more, share, colour
):
    at = {"share_pct": share, "division_g": TENTH, "colourant": colour}
    light, heavy = accept_band_g(target_g=target, **at), accept_band_g(target_g=target + more, **at)
    assert TENTH <= light <= heavy


@given(target=GRAMS, band=GRAMS)
def test_the_edges_of_a_band_are_inside_it(target, band):
    for net in (target - band, target, target + band):
        assert in_band(net_g=net, target_g=target, band_g=band)
        assert judge(net_g=net, target_g=target, band_g=band).word == "inside"
    assert judge(net_g=target + band + d("0.001"), target_g=target, band_g=band).word == "over"
    assert judge(net_g=target - band - d("0.001"), target_g=target, band_g=band).word == "under"


def test_a_judged_line_tells_its_difference_in_grams_and_percent():
    # day_in_the_room C3: kaolin 2829 g for 2760 g
    found = judge(net_g=d("2829"), target_g=d("2760"), band_g=d("27.6"))
    assert (found.word, found.difference_g) == ("over", 69)
    assert found.difference_pct == d("2.5")


def test_the_smallest_sensible_weight_is_82_divisions():
    # batch record 30: 0.1 g -> 8.2 g, 1 g -> 82 g, 5 g -> 410 g
    for division, least in (("0.1", "8.2"), ("1", "82"), ("5", "410")):
        scale = Scale("s", capacity_g=d("10000"), division_g=d(division))
        assert smallest_sensible_g(scale=scale) == d(least)
    assert smallest_sensible_g(scale=Scale("s", d("600"), TENTH, smallest_g=d("20"))) == 20


@pytest.mark.parametrize(
    ("target", "kind", "scale", "count", "why"),
    [
        ("655", {"opacifier": True}, "bulk", 1, "over fine"),  # A4: over the 600 g of the fine scale
        ("345", {"opacifier": True}, "fine", 1, "fine"),  # C: tin oxide
        ("460", {}, "bulk", 1, "bulk"),  # C: whiting
        ("5060", {}, "bulk", 2, "bulk"),  # C: potash feldspar
        ("81.9", {}, "fine", 1, "small"),
        ("82", {}, "bulk", 1, "bulk"),
        ("12.5", {"colourant": True}, "fine", 1, "fine"),
        ("8.1", {"colourant": True}, "fine", 1, "too small"),
    ],
)
def test_a_line_goes_to_the_scale_that_weighs_it_well(target, kind, scale, count, why):
    found = choose_scale(target_g=d(target), scales=[BULK, FINE], **kind)
    assert (found.scale.key, found.loads, found.why) == (scale, count, why)
    assert found.sensible is (why != "too small")


@given(target=GRAMS, fine=st.booleans())
def test_the_order_of_the_scales_does_not_matter_and_a_sensible_line_is_never_too_light(target, fine):
    one = choose_scale(target_g=target, scales=[BULK, FINE], colourant=fine)
    other = choose_scale(target_g=target, scales=[FINE, BULK], colourant=fine)
    assert one == other
    assert one.sensible is (target >= one.smallest_g)
    assert one.loads * (one.scale.capacity_g - one.scale.kept_free_g) >= target


def test_a_room_without_a_scale_is_refused():
    with pytest.raises(ValueError, match="room for a load, got none"):
        choose_scale(target_g=ONE, scales=[])
    with pytest.raises(ValueError, match="room for a load"):
        choose_scale(target_g=ONE, scales=[Scale("s", d("500"), ONE, kept_free_g=d("500"))])


def test_fourteen_kilograms_on_a_five_kilogram_scale_are_four_loads():
    # batch record 32: 14.2 kg on a 5 kg scale, tare 0.6
    found = loads(target_g=d("14200"), capacity_g=d("5000"), container_g=d("600"), division_g=ONE)
    assert (found.count, found.each_g) == (4, (3550, 3550, 3550, 3550))


def test_the_last_load_is_the_total_less_what_was_accepted():
    # day_in_the_room C1: 5060 g, container 412 g, margin 100 g, first load accepted at 2531 g
    plan = loads(
        target_g=d("5060"), capacity_g=d("5000"), container_g=d("412"), margin_g=d("100"), division_g=ONE
    )
    assert (plan.count, plan.most_g, plan.each_g) == (2, 4488, (2530, 2530))
    second = next_load(target_g=d("5060"), accepted_g=[d("2531")], most_g=plan.most_g, division_g=ONE)
    assert (second.number, second.count, second.target_g, second.missing_g) == (2, 2, 2529, 2529)


@given(
    target=GRAMS,
    free=st.decimals(min_value=50, max_value=6000, places=1),
    division=st.sampled_from([TENTH, ONE]),
)
def test_planned_loads_sum_to_the_line_and_none_is_over_what_the_scale_carries(target, free, division):
    plan = loads(target_g=target, capacity_g=free, division_g=division)
    assert sum(plan.each_g) == target
    assert len(plan.each_g) == plan.count
    assert all(0 < load <= plan.most_g <= free for load in plan.each_g)
    assert all(load % division == 0 for load in plan.each_g[:-1])


@given(
    target=st.decimals(min_value=100, max_value=20000, places=0),
    off=st.lists(st.integers(-9, 9), min_size=40, max_size=40),
)
def test_weighing_load_after_load_ends_at_the_target_whatever_each_was_off_by(target, off):
    accepted = []
    for difference in off:
        now = next_load(target_g=target, accepted_g=accepted, most_g=d("1488"), division_g=ONE)
        assert now.target_g <= 1488
        if now.number == now.count:
            assert now.target_g == target - sum(accepted)
            return
        accepted.append(now.target_g + difference)
    pytest.fail("the loads never end")


def test_too_much_leaves_no_further_load():
    found = next_load(target_g=d("100"), accepted_g=[d("104")], most_g=d("500"), division_g=ONE)
    assert (found.number, found.count, found.target_g, found.missing_g) == (1, 1, 0, -4)


def test_a_band_is_shown_to_a_tenth():
    # day_in_the_room A4 prints 14.4, 18.3, 11.1, 10.5 and 3.3
    shown = [
        accept_band_g(target_g=d(t), share_pct=d("15"), division_g=ONE, opacifier=o).quantize(
            TENTH, rounding=ROUND_HALF_UP
        )
        for t, o in (("1441", False), ("1834", False), ("1113", False), ("1048", False), ("655", True))
    ]
    assert shown == [d("14.4"), d("18.3"), d("11.1"), d("10.5"), d("3.3")]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: accept_band_g(target_g=d("0"), share_pct=ONE, division_g=ONE),
            "target_g must be above 0, got 0",
        ),
        (
            lambda: accept_band_g(target_g=ONE, share_pct=d("NaN"), division_g=ONE),
            "share_pct must be above 0",
        ),
        (lambda: judge(net_g=ONE, target_g=d("0"), band_g=ONE), "target_g must be above 0"),
        (lambda: loads(target_g=ONE, capacity_g=d("500"), container_g=d("500"), division_g=ONE), "0 g free"),
        (
            lambda: next_load(target_g=ONE, accepted_g=[], most_g=d("0"), division_g=ONE),
            "most_g must be above 0",
        ),
    ],
)
def test_amounts_that_make_no_sense_are_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()
