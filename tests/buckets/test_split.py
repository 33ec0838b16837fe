"""A bucket is split or poured over whole, and carried to another place (slurry.md b, edge cases 42, 43)."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buckets.errors import AlreadyFull, MoreThanThereIs, OverTheBrim
from buckets.lineage import parting
from buckets.models import Care, Fill
from buckets.operations.care import log_use, water_in
from buckets.operations.holding import hold_fill
from buckets.operations.labels import print_bucket_label
from buckets.operations.lineage import move_bucket, split_fill
from buckets.operations.readings import record_reading
from safety.models import Label
from studio.errors import NotAllowed, Refused
from studio.room.operations.vessels import put_away_vessel
from tests.buckets.rows import found, in_use, pail

pytestmark = pytest.mark.django_db
D = Decimal
YESTERDAY = timedelta(days=1)


@pytest.fixture
def white(technician, member):
    """8 L of Gannet White in B02, measured yesterday by a technician, today by a member; with its label."""
    fill = in_use("B02")
    at = timezone.now() - YESTERDAY
    record_reading(fill=fill, sg=D("1.452"), u_sg=D("0.004"), volume_l=D(8), by=technician, at=at)
    record_reading(fill=fill, sg=D("1.45"), u_sg=D("0.004"), by=member)
    print_bucket_label(fill=fill, by=technician)
    fill.refresh_from_db()
    return fill


def split(fill, by, litres="3", into="B12", **said):
    return split_fill(fill=fill, vessel=pail(into), volume_l=D(litres), stirred=True, by=by, **said)


def test_edge_42_a_bucket_split_two_fills_one_parent_volumes_sum_and_a_new_serial_for_the_second(
    white, technician
):
    second = split(white, technician)
    white.refresh_from_db()
    assert (white.volume_l, second.volume_l) == (5, 3)
    parent = second.parents.get()
    assert (parent.parent_fill, parent.dry_share) == (white, 1)
    # C = 2.731 (1.45 - 1) / 1.731 kg/L = 0.70997 (slurry.md a); the member's reading is the newest
    assert parent.dry_g == pytest.approx(D("2129.9"), abs=D("0.5"))
    first_label, second_label = (
        Label.objects.exclude(state="void").get(on_id=fill.pk) for fill in (white, second)
    )
    assert (second_label.vessel_code, second_label.state) == ("B12", "printed")
    assert int(second_label.serial[1:]) > int(first_label.serial[1:])
    inherited = second.readings.order_by("at")
    assert [row.sg for row in inherited] == [D("1.452"), D("1.45")]
    assert all(row.note == f"from the bucket before, B02 (fill {white.number})" for row in inherited)
    assert [row.at for row in inherited] == [white.check_reading.at, white.member_reading.at]


def test_it_is_the_same_glaze_in_the_same_state(white, technician):
    second = split(white, technician)
    for name in ("glaze", "recipe", "version", "target_sg", "half_window", "particle_density", "state"):
        assert getattr(second, name) == getattr(white, name), name
    assert second.contents == white.contents
    assert second.made_of == white.made_of
    assert second.history_unknown


def test_its_readings_count_as_they_counted_before_by_whoever_took_them(white, technician, member):
    second = split(white, technician)
    assert (second.check_reading.by, second.check_reading.is_check) == (technician, True)
    assert (second.member_reading.by, second.member_reading.is_check) == (member, False)
    assert second.check_reading.u_sg == D("0.004")


def test_a_reading_that_no_longer_counts_is_not_inherited(white, technician):
    water_in(fill=white, volume_l=D("0.2"), by=technician)
    second = split(white, technician)
    assert not second.readings.exists()
    assert second.parents.get().dry_g is None


def test_poured_over_whole_the_first_fill_ends_and_its_label_is_void(white, technician):
    label = Label.objects.exclude(state="void").get(on_id=white.pk)
    second = split(white, technician, "8")
    white.refresh_from_db()
    label.refresh_from_db()
    assert (white.state, white.emptied_why) == ("emptied", "all of it went into B12")
    assert (label.state, label.void_reason) == ("void", "all of it went into B12")
    assert (second.volume_l, second.vessel.code) == (8, "B12")


def test_a_fill_in_testing_stays_in_testing_in_both(technician):
    second = split(found("B02"), technician)
    assert second.state == "testing"
    assert second.released_at is None


def test_what_is_used_and_read_afterwards_counts_in_its_own_bucket(white, technician, member):
    second = split(white, technician)
    log_use(fill=second, volume_l=D("0.5"), by=member)
    second.refresh_from_db()
    white.refresh_from_db()
    assert (second.volume_l, white.volume_l) == (D("2.5"), 5)
    record_reading(fill=second, sg=D("1.45"), volume_l=D("2.4"), by=technician)
    second.refresh_from_db()
    assert second.volume_l == D("2.4")


@pytest.mark.parametrize(
    ("litres", "kind", "sentence"),
    [
        ("0", Refused, "more than 0 L"),
        ("-1", Refused, "more than 0 L"),
        ("8.001", MoreThanThereIs, "B02 holds 8.L"),
    ],
)
def test_litres_that_cannot_be_are_refused(white, technician, litres, kind, sentence):
    with pytest.raises(kind, match=sentence):
        split(white, technician, litres)
    assert Fill.objects.count() == 1


def test_only_an_empty_bucket_in_service_takes_it(white, technician):
    in_use("B03")
    with pytest.raises(AlreadyFull):
        split(white, technician, into="B03")
    put_away_vessel(vessel=pail("B12"), by=technician)
    with pytest.raises(Refused, match="B12 is put away"):
        split(white, technician)


def test_a_small_bucket_takes_what_the_studio_fills_it_to(white, technician):
    """10 cm of a pail, 25.6 to 26.5 cm wide: 5.33 L to the brim (slurry.md g), 85 % of it 4.53 L."""
    small = pail("B12")
    small.height_cm, small.top_cm = D(10), D("26.5")
    small.save()
    assert small.brim_l() == pytest.approx(5.33, abs=0.01)
    with pytest.raises(Refused, match=r"It takes 4\.53"):
        split(white, technician, "5")
    with pytest.raises(OverTheBrim):
        split(white, technician, "6")


def test_a_held_bucket_is_not_split_and_an_unstirred_one_neither(white, technician):
    with pytest.raises(Refused, match="Stir to the floor first"):
        split_fill(fill=white, vessel=pail("B12"), volume_l=D(1), by=technician)
    hold_fill(fill=white, reason="specks", by=technician)
    with pytest.raises(Refused, match="B02 is held"):
        split(white, technician)


def test_a_member_may_not(white, member):
    with pytest.raises(NotAllowed):
        split(white, member)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(there_l=st.integers(1, 17000), share=st.integers(1, 1000), sg=st.integers(1000, 2199))
def test_litres_and_grams_are_kept_by_a_split(white, there_l, share, sg):
    white.volume_l = D(there_l) / 1000
    white.member_reading.sg = D(sg) / 1000
    goes = max(D("0.001"), (white.volume_l * share / 1000).quantize(D("0.001")))
    after = parting(white, pail("B12"), goes, timezone.now())
    assert after.volume_l + after.left_l == white.volume_l
    stays_g = 1000 * after.left_l * white.member_reading.sg
    assert after.moved_g + stays_g == 1000 * white.volume_l * white.member_reading.sg
    assert sum(D(line["share"]) for line in after.made_of) == 1


def test_edge_43_a_bucket_moved_is_a_change_of_place_only_and_its_qr_stays(client, white, technician):
    (label,) = Label.objects.exclude(state="void")
    row = move_bucket(fill=white, place="shelf C2", by=technician)
    assert (row.kind, row.note) == (Care.Kind.MOVED, "from shelf A1 to shelf C2")
    white.refresh_from_db()
    assert (white.vessel.place, white.volume_l, white.check_reading.sg) == ("shelf C2", 8, D("1.452"))
    assert list(Label.objects.exclude(state="void")) == [label]
    client.force_login(technician)
    client.get(f"/l/{label.serial}/")
    white.vessel.refresh_from_db()
    assert white.vessel.seen_place == "shelf C2"
    assert timezone.now() - white.vessel.seen_at < timedelta(minutes=1)
    page = client.get("/shelf/B02/").content.decode()
    assert "shelf C2" in page
    assert "last scanned" in page
    assert "shelf C2" in client.get("/shelf/").content.decode()


@pytest.mark.parametrize("place", ["", "   ", "shelf A1"])
def test_a_place_that_is_none_or_the_same_is_refused(white, technician, place):
    with pytest.raises(Refused) as refused:
        move_bucket(fill=white, place=place, by=technician)
    assert refused.value.field == "place"
    assert not Care.objects.filter(kind="moved").exists()
