"""A mixture is its parts by dry mass: the same mixture has the same digest, however it was told."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety.mixes import (
    Mix,
    Part,
    canonical,
    digest,
    from_plain,
    mix_of_material,
    mix_of_unknown,
    mix_of_version,
    of_amounts,
    together,
)

D = Decimal


def test_a_version_by_itself_is_all_of_its_mixture():
    assert canonical(mix_of_version(12)) == [{"version": 12, "share": "1"}]
    assert canonical(mix_of_material(7)) == [{"material": 7, "share": "1"}]
    assert canonical(mix_of_unknown("found")) == [{"unknown": "found", "share": "1"}]


def test_parts_are_added_put_in_order_and_brought_to_one():
    mix = together(
        [
            Part(unknown="found", share=D("0.32")),
            Part(material=7, share=D("0.004")),
            Part(version=12, share=D("0.3")),
            Part(version=12, share=D("0.376")),
        ]
    )
    assert canonical(mix) == [
        {"version": 12, "share": "0.676"},
        {"material": 7, "share": "0.004"},
        {"unknown": "found", "share": "0.32"},
    ]
    assert (mix.versions, mix.materials, mix.unknown) == (
        {12: D("0.676")},
        {7: D("0.004")},
        {"found": D("0.32")},
    )


def test_the_same_mixture_told_otherwise_has_the_same_digest():
    one = together([Part(version=1, share=D(1)), Part(version=2, share=D(3) / 4)])
    other = of_amounts({(0, 2, ""): D(300), (0, 1, ""): D(400)})
    assert digest(one) == digest(other) == digest(from_plain(reversed(canonical(one))))
    assert digest(one) != digest(mix_of_version(1))


def test_one_part_alone_is_that_part_by_itself():
    assert digest(of_amounts({(0, 12, ""): D("0.735")})) == digest(mix_of_version(12))


def test_a_part_that_may_be_in_it_is_kept_with_no_share():
    mix = of_amounts({(0, 12, ""): D(1), (2, 0, "its history is not known"): D(0)})
    assert canonical(mix)[1] == {"unknown": "its history is not known", "share": "0"}
    assert digest(mix) != digest(mix_of_version(12))


@pytest.mark.parametrize(
    "said",
    [
        {"share": D(1)},
        {"share": D(1), "version": 1, "material": 2},
        {"share": D("1.01"), "version": 1},
        {"share": D("-0.01"), "version": 1},
    ],
)
def test_a_part_is_one_thing_with_a_share(said):
    with pytest.raises(ValueError, match=r"a part is|a share lies"):
        Part(**said)


@pytest.mark.parametrize(
    ("parts", "why"),
    [
        ([Part(version=1, share=D("0.9"))], "add up to 1"),
        ([Part(version=2, share=D("0.5")), Part(version=1, share=D("0.5"))], "in order"),
        ([Part(version=1, share=D("0.5")), Part(version=1, share=D("0.5"))], "once"),
        ([], "add up to 1"),
    ],
)
def test_a_mixture_that_cannot_be_is_refused(parts, why):
    with pytest.raises(ValueError, match=why):
        Mix(tuple(parts))


@given(st.lists(st.decimals("0.001", "5000", places=3), min_size=1, max_size=8))
def test_any_amounts_become_shares_of_exactly_one_that_read_back(grams):
    mix = of_amounts({(0, number + 1, ""): amount for number, amount in enumerate(grams)})
    assert sum(part.share for part in mix.parts) == 1
    assert from_plain(canonical(mix)) == mix
    whole = sum(grams)
    for part, amount in zip(mix.parts, grams, strict=True):
        assert abs(part.share - amount / whole) <= D("0.000000001")
