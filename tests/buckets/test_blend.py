"""A spare bucket is mixed in: one new fill with both as parents. Numbers: scenario E1 of
"day_in_the_room.md", formulas of slurry.md b."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buckets.errors import FillEmptied, MoreThanThereIs, OverTheBrim
from buckets.lineage import blend
from buckets.models import Care, Fill
from buckets.operations.care import take_back_care, water_in
from buckets.operations.holding import hold_fill, lift_hold
from buckets.operations.labels import print_bucket_label
from buckets.operations.lineage import blend_fill
from buckets.operations.readings import record_reading
from buckets.operations.reports import report
from safety.models import Label
from studio.errors import NotAllowed, Refused
from tests.buckets.rows import found, in_use
from tests.factories import VersionFactory

pytestmark = pytest.mark.django_db
D = Decimal


def linseed():
    """Linseed, target 1.43 ± 0.02; its powder weighs 2.649 g/mL (demo_studio.md)."""
    recipe = VersionFactory(name="Linseed").recipe
    recipe.refresh_from_db()
    return recipe


def measured(fill, sg, by, **said):
    record_reading(fill=fill, sg=D(sg), u_sg=D("0.002"), by=by, **said)
    fill.refresh_from_db()
    return fill


@pytest.fixture
def pair(technician):
    """E1: 9.80 L at 1.426 in B04, 3.20 L at 1.470 in B13, both Linseed in use."""
    recipe = linseed()
    b04 = measured(in_use("B04", litres="9.8", recipe=recipe), "1.426", technician)
    b13 = measured(in_use("B13", litres="3.2", recipe=recipe), "1.470", technician)
    return b04, b13


def mixed(pair, by, litres="3.2", **said):
    return blend_fill(fill=pair[0], spare=pair[1], volume_l=D(litres), stirred=True, by=by, **said)


def test_scenario_e1_both_parents_by_dry_mass(pair, technician):
    assert pair[0].particle_density == pytest.approx(D("2.649"), abs=D("0.001"))
    fill = mixed(pair, technician)
    assert (fill.vessel.code, fill.glaze, fill.state) == ("B04", "Linseed", "in use")
    assert fill.volume_l == 13
    assert fill.predicted_sg == D("1.4368")
    of_b04, of_b13 = fill.parents.order_by("pk")
    assert (of_b04.parent_fill, of_b13.parent_fill) == pair
    assert of_b04.dry_g + of_b13.dry_g == pytest.approx(D(9123), abs=1)
    assert of_b13.dry_share == pytest.approx(D("0.265"), abs=D("0.0005"))
    assert of_b04.dry_share + of_b13.dry_share == 1
    assert [line["share"] for line in fill.made_of] == ["1.000000"]  # one version, in both


def test_edge_41_buckets_merged_a_new_fill_worst_state_strictest_hazards_both_labels_void_a_new_one(
    technician,
):
    recipe = linseed()
    here = measured(in_use("B04", litres="5", recipe=recipe), "1.43", technician)
    spare = measured(found("B13", litres="3", recipe=recipe), "1.44", technician)  # still in testing
    Fill.objects.filter(pk=spare.pk).update(
        contents=[{"material": "Silica", "words": "dust"}, {"material": "Rutile", "words": "low"}],
        soluble=True,
    )
    old = [print_bucket_label(fill=fill, by=technician) for fill in (here, spare)]
    fill = blend_fill(fill=here, spare=spare, volume_l=D(3), stirred=True, by=technician)
    assert fill.state == "testing"
    assert fill.soluble
    said = {entry["material"]: entry["words"] for entry in fill.contents}
    assert said["Silica"] == "respirable silica, dust"
    assert said["Rutile"] == "low"
    for label in old:
        label.refresh_from_db()
        assert label.state == "void"
    (new,) = Label.objects.exclude(state="void").filter(on_kind="buckets.fill")
    assert (new.on_id, new.vessel_code, new.content["state"]) == (fill.pk, "B04", "testing")
    for parent in (here, spare):
        parent.refresh_from_db()
        assert parent.state == "emptied"
        assert fill.parents.filter(parent_fill=parent).exists()


def test_the_spare_bucket_keeps_what_is_left_and_its_label(pair, technician):
    label = print_bucket_label(fill=pair[1], by=technician)
    mixed(pair, technician, "2")
    spare = pair[1]
    spare.refresh_from_db()
    label.refresh_from_db()
    assert (spare.volume_l, spare.emptied_at) == (D("1.2"), None)
    assert label.state == "printed"
    row = spare.care.get(kind=Care.Kind.SPLIT)
    assert (row.volume_l, row.change_l, row.change_g) == (2, -2, -2940)  # 2 L at 1.470


def test_nothing_counts_until_it_is_measured(pair, technician):
    fill = mixed(pair, technician)
    assert (fill.check_reading, fill.member_reading) == (None, None)
    measured(fill, "1.437", technician)
    assert fill.check_reading.sg == D("1.437")


def test_the_litres_of_the_new_fill_follow_a_level_that_is_read(pair, technician):
    fill = mixed(pair, technician)
    record_reading(fill=fill, sg=D("1.437"), volume_l=D("12.9"), by=technician)
    fill.refresh_from_db()
    assert fill.volume_l == D("12.9")


def test_another_recipe_needs_a_word_and_becomes_a_glaze_of_its_own(technician):
    here = measured(in_use("B04", litres="5", recipe=linseed()), "1.43", technician)
    spare = measured(in_use("B13", litres="3"), "1.44", technician)  # Gannet White
    with pytest.raises(Refused, match="they make a third glaze") as refused:
        blend_fill(fill=here, spare=spare, volume_l=D(1), stirred=True, by=technician)
    assert refused.value.field == "another_glaze"
    fill = blend_fill(fill=here, spare=spare, volume_l=D(1), stirred=True, another_glaze=True, by=technician)
    assert fill.glaze == "Mixed: Linseed and Gannet White"
    assert (fill.recipe, fill.version, fill.target_sg) == (None, None, None)
    assert (fill.state, fill.released_at) == ("testing", None)
    assert (fill.cone, fill.atmosphere) == ("6", here.atmosphere)
    shares = [(line["name"], D(line["share"])) for line in fill.made_of]
    assert [name for name, _ in shares] == ["Linseed, version 1", "Gannet White, version 1"]
    assert sum(share for _, share in shares) == 1


def test_versions_are_followed_through_two_blends(technician):
    """Shares of shares: what B04 was made of goes on in what it becomes."""
    here = measured(in_use("B04", litres="5", recipe=linseed()), "1.43", technician)
    white = measured(in_use("B13", litres="3"), "1.44", technician)
    once = blend_fill(fill=here, spare=white, volume_l=D(2), stirred=True, another_glaze=True, by=technician)
    measured(once, "1.433", technician)
    white.refresh_from_db()
    twice = blend_fill(fill=once, spare=white, volume_l=D(1), stirred=True, another_glaze=True, by=technician)
    of_once, of_white = (D(parent.dry_share) for parent in twice.parents.order_by("pk"))
    linseed_once = D(next(line["share"] for line in once.made_of if "Linseed" in line["name"]))
    linseed_twice = D(next(line["share"] for line in twice.made_of if "Linseed" in line["name"]))
    assert linseed_twice == pytest.approx(of_once * linseed_once, abs=D("0.000002"))
    assert of_once + of_white == 1


REFUSED = {
    "not stirred": ({"stirred": False}, Refused, "Stir to the floor first"),
    "nothing": ({"volume_l": D(0)}, Refused, "more than 0 L"),
    "less than nothing": ({"volume_l": D(-1)}, Refused, "more than 0 L"),
    "more than there is": ({"volume_l": D("3.3")}, MoreThanThereIs, "B13 holds 3.2"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_it_is_refused_and_nothing_is_written(pair, technician, case):
    said, kind, sentence = REFUSED[case]
    before = (Fill.objects.count(), Care.objects.count(), Label.objects.count())
    told = {"volume_l": D(1), "stirred": True, **said}
    with pytest.raises(kind, match=sentence):
        blend_fill(fill=pair[0], spare=pair[1], by=technician, **told)
    assert (Fill.objects.count(), Care.objects.count(), Label.objects.count()) == before


def test_a_held_or_reported_bucket_is_not_mixed(pair, technician):
    hold_fill(fill=pair[1], reason="specks", by=technician)
    with pytest.raises(Refused, match="B13 is held"):
        mixed(pair, technician)
    lift_hold(fill=pair[1], decision="dust", by=technician)
    report(fill=pair[0], words="smells of eggs")
    with pytest.raises(Refused, match="Answer that first"):
        mixed(pair, technician)


def test_both_must_be_measured_and_since_then_nothing_may_have_gone_in(technician):
    recipe = linseed()
    here = measured(in_use("B04", litres="5", recipe=recipe), "1.43", technician)
    spare = in_use("B13", litres="3", recipe=recipe)
    with pytest.raises(Refused, match="It was never measured") as refused:
        mixed((here, spare), technician, "1")
    assert refused.value.field == "spare"
    measured(spare, "1.44", technician)
    water_in(fill=spare, volume_l=D("0.2"), by=technician)
    with pytest.raises(Refused, match="something went in since"):
        mixed((here, spare), technician, "1")


def test_a_reading_older_than_the_studio_trusts_is_not_gone_by(technician):
    recipe = linseed()
    old = timezone.now() - timedelta(days=8)
    here = measured(in_use("B04", litres="5", recipe=recipe), "1.43", technician, at=old)
    spare = measured(in_use("B13", litres="3", recipe=recipe), "1.44", technician)
    with pytest.raises(Refused, match="B04 has no reading to go by"):
        mixed((here, spare), technician, "1")


def test_the_limit_of_the_studio_and_the_brim_are_kept(technician):
    """P20: 85 % of 20.36 L is 17.31 L (scenario A)."""
    recipe = linseed()
    here = measured(in_use("B04", litres="15", recipe=recipe), "1.43", technician)
    spare = measured(in_use("B13", litres="8", recipe=recipe), "1.44", technician)
    with pytest.raises(Refused, match=r"at most \(85.*takes 2\.3"):
        mixed((here, spare), technician, "3")
    with pytest.raises(OverTheBrim):
        mixed((here, spare), technician, "6")
    assert mixed((here, spare), technician, "2.3").volume_l == D("17.3")


def test_a_bucket_is_not_mixed_with_itself(pair, technician):
    with pytest.raises(Refused, match="another bucket"):
        blend_fill(fill=pair[0], spare=pair[0], volume_l=D(1), stirred=True, by=technician)


def test_what_has_left_its_bucket_is_named(pair, technician):
    mixed(pair, technician)
    with pytest.raises(FillEmptied):
        mixed(pair, technician)


def test_a_helper_or_member_may_not(pair, member, helper):
    for by in (member, helper):
        with pytest.raises(NotAllowed):
            mixed(pair, by)


def test_the_first_entries_of_it_are_not_taken_back(pair, technician):
    fill = mixed(pair, technician, "1")
    for row in (fill.care.get(kind="topped up"), pair[1].care.get(kind="split")):
        with pytest.raises(Refused, match="glaze has gone on in another bucket"):
            take_back_care(care=row, reason="wrong", by=technician)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    here_l=st.integers(100, 9000),
    spare_l=st.integers(1, 8000),
    sg=st.integers(1001, 1999),
    spare_sg=st.integers(1001, 1999),
    share=st.integers(1, 1000),
    powder=st.integers(2100, 3500),
)
def test_litres_grams_and_dry_mass_are_kept_and_shares_sum_to_one(
    pair, here_l, spare_l, sg, spare_sg, share, powder
):
    """For whatever two fills: nothing is lost between them and nothing comes of nothing."""
    here, spare = pair
    here.volume_l, spare.volume_l = D(here_l) / 1000, D(spare_l) / 1000
    here.check_reading.sg, spare.check_reading.sg = D(sg) / 1000, D(spare_sg) / 1000
    here.particle_density, spare.particle_density = D(powder) / 1000, D("2.649")
    taken = max(D("0.001"), (spare.volume_l * share / 1000).quantize(D("0.001")))
    after = blend(here, spare, taken, timezone.now())
    assert after.volume_l + after.spare_left_l == here.volume_l + spare.volume_l
    grams = 1000 * (here.volume_l * here.check_reading.sg + taken * spare.check_reading.sg)
    assert abs(after.slurry_g - grams) <= after.volume_l * D("0.05") + D("0.001")  # SG is kept to 4 places
    assert sum(after.shares.values()) == 1
    assert sum(D(line["share"]) for line in after.made_of) == 1
    whole_powder = 1000 * after.volume_l * (after.sg - 1)  # what it weighs more than its water
    by_dry = sum(
        after.dry_g[name] * (1 - 1 / one.particle_density) for name, one in (("fill", here), ("spare", spare))
    )
    assert abs(by_dry - whole_powder) <= after.volume_l * D("0.06") + D("0.01")
