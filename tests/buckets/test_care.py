"""Stirred, water in, sieved, used: what each writes, and what it is refused for."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from buckets.models import Care, Use
from buckets.operations import care
from buckets.operations.fills import empty_fill
from buckets.operations.holding import hold_fill
from buckets.operations.pouring import begin_batch
from buckets.operations.readings import record_reading
from buckets.queries import dip_check_of, fill_in
from studio.errors import NotAllowed, Refused
from studio.people.models import Entry
from studio.room import policy
from tests.buckets.rows import found, in_use
from tests.factories import BatchFactory, VersionFactory

pytestmark = pytest.mark.django_db


def answer(code="B02", now=None):
    return dip_check_of(fill_in(code), now or timezone.now(), policy.in_force())


def test_a_stir_opens_a_measured_bucket_until_it_settles(technician, member):
    fill = in_use()
    record_reading(fill=fill, by=technician, sg=Decimal("1.45"), u_sg=Decimal("0.002"))
    assert answer().answer == "stir first"
    row = care.stir(fill=fill, by=member)
    check = answer()
    assert (check.answer, check.holds_until) == ("dip", row.at + timedelta(minutes=5))
    assert answer(now=row.at + timedelta(minutes=5)).answer == "stir first"


def test_two_taps_with_one_key_are_one_stir(member):
    fill, key = in_use(), uuid4()
    assert care.stir(fill=fill, by=member, key=key) == care.stir(fill=fill, by=member, key=key)
    assert fill.care.count() == 1
    assert Entry.objects.filter(act="stirred").count() == 1


def test_water_adds_litres_and_asks_for_a_new_reading(technician, helper):
    fill = in_use(litres="4.2")
    record_reading(fill=fill, by=technician, sg=Decimal("1.52"), u_sg=Decimal("0.002"))
    care.stir(fill=fill, by=helper)
    row = care.water_in(fill=fill, volume_l=Decimal("0.653"), by=helper, raw="volume_l=653 mL")
    fill.refresh_from_db()
    assert (fill.volume_l, row.raw) == (Decimal("4.853"), "volume_l=653 mL")
    check = answer()
    assert (check.answer, check.reasons[0].code) == ("measure first", "changed since")
    record_reading(fill=fill, by=technician, sg=Decimal("1.45"), u_sg=Decimal("0.002"))
    assert answer().answer == "dip"


def test_water_into_what_was_too_thick_lifts_the_ban_but_not_into_what_was_too_thin(technician):
    for code, sg, expected in (("B02", "1.52", "measure first"), ("B03", "1.40", "do not use")):
        fill = in_use(code)
        record_reading(fill=fill, by=technician, sg=Decimal(sg), u_sg=Decimal("0.002"))
        assert answer(code).answer == "do not use"
        care.water_in(fill=fill, volume_l=Decimal("0.3"), by=technician)
        assert answer(code).answer == expected


def test_water_over_the_brim_or_none_at_all_is_refused(technician):
    fill = in_use(litres="15")
    for litres, sentence in (("5.4", "20.36"), ("0", "more than 0 L"), ("-1", "more than 0 L")):
        with pytest.raises(Refused, match=sentence):
            care.water_in(fill=fill, volume_l=Decimal(litres), by=technician)
    assert fill.care.count() == 0


def test_a_member_without_sign_off_pours_no_water_and_sieves_nothing(member):
    fill = in_use()
    with pytest.raises(NotAllowed, match="add water and sieve"):
        care.water_in(fill=fill, volume_l=Decimal("0.1"), by=member)
    with pytest.raises(NotAllowed, match="add water and sieve"):
        care.sieve_fill(fill=fill, by=member)
    assert not Care.objects.exists()


def test_while_a_batch_is_made_in_the_bucket_its_water_is_the_batchs_and_nobody_empties_it(technician):
    version = VersionFactory()
    fill = in_use("B02", litres="2", recipe=version.recipe, sg=Decimal("1.43"))
    batch = BatchFactory(
        request__version=version,
        request__vessel=fill.vessel,
        request__wish="bring to",
        request__dry_g=None,
        request__litres=Decimal(10),
        request__old_volume_l=Decimal(2),
        request__old_sg=Decimal("1.43"),
    )
    begin_batch(batch=batch, fill=fill, volume_l=Decimal(2), sg=Decimal("1.43"), by=technician)
    for act in (
        lambda: care.water_in(fill=fill, volume_l=Decimal("0.1"), by=technician),
        lambda: empty_fill(fill=fill, why="to reclaim", by=technician),
    ):
        with pytest.raises(Refused, match=f"Batch {batch.number} is being made"):
            act()


def test_use_takes_litres_and_keeps_the_pieces(member):
    fill = in_use(litres="8.83")
    use = care.log_use(fill=fill, volume_l=Decimal("0.341"), pieces=2, by=member)
    fill.refresh_from_db()
    # B8: cup 0.243 L + 2 pieces 0.098 L out of 8.83 L leave 8.49 L
    assert fill.volume_l == pytest.approx(Decimal("8.49"), abs=Decimal("0.01"))
    assert use.pieces == 2


def test_more_than_there_is_cannot_be_used(member):
    fill = in_use(litres="0.2")
    with pytest.raises(Refused, match=r"B02 holds 200\WmL"):
        care.log_use(fill=fill, volume_l=Decimal("0.201"), by=member)
    assert care.log_use(fill=fill, volume_l=Decimal("0.2"), by=member)
    assert answer().reasons[0].code == "nothing left"


def test_nothing_is_used_from_a_held_bucket(technician, member):
    fill = in_use()
    hold_fill(fill=fill, reason="blue specks", by=technician)
    with pytest.raises(Refused, match="held: blue specks"):
        care.log_use(fill=fill, volume_l=Decimal("0.1"), by=member)
    assert not Use.objects.exists()


def test_an_act_on_a_fill_emptied_meanwhile_names_what_is_there_now(technician, member):
    fill = in_use()
    empty_fill(fill=fill, why="hard as a brick", by=technician)
    with pytest.raises(Refused, match="Nothing is in B02 now"):
        care.stir(fill=fill, by=member)
    found("B02", glaze="Harbour Fog", litres="3")
    for act in (
        lambda: care.stir(fill=fill, by=member),
        lambda: care.log_use(fill=fill, volume_l=Decimal("0.1"), by=member),
        lambda: record_reading(fill=fill, sg=Decimal("1.45"), by=member),
        lambda: care.water_in(fill=fill, volume_l=Decimal("0.1"), by=technician),
    ):
        with pytest.raises(Refused, match=r"Gannet White, which was emptied .* B02 now holds Harbour Fog"):
            act()
    assert not Care.objects.exists()


def test_what_was_taken_back_never_happened_to_the_bucket(technician):
    fill = in_use(litres="5")
    stirred = care.stir(fill=fill, by=technician)
    water = care.water_in(fill=fill, volume_l=Decimal(1), by=technician)
    use = care.log_use(fill=fill, volume_l=Decimal("0.5"), by=technician)
    for act in (
        lambda: care.take_back_care(care=stirred, reason="other bucket", by=technician),
        lambda: care.take_back_care(care=water, reason="other bucket", by=technician),
        lambda: care.take_back_use(use=use, reason="other bucket", by=technician),
    ):
        act()
        with pytest.raises(Refused, match="already taken back"):
            act()
    fill.refresh_from_db()
    assert (fill.volume_l, fill.stirred_at, fill.stirred_by) == (Decimal(5), None, None)
    assert (fill.care.count(), fill.uses.count()) == (4, 2)


def test_a_reason_is_wanted_for_taking_back(technician):
    row = care.stir(fill=in_use(), by=technician)
    with pytest.raises(Refused, match="what was wrong"):
        care.take_back_care(care=row, reason="  ", by=technician)


def test_sieving_is_noted_with_what_stayed_on_the_mesh(helper):
    row = care.sieve_fill(fill=in_use(), note="80 mesh, a few hard bits", by=helper)
    assert (row.kind, row.note) == ("sieved", "80 mesh, a few hard bits")
