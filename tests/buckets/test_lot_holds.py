"""A lot in doubt: traced through merges and splits, every bucket of it held in one act, and lifted."""

from decimal import Decimal

import pytest
from django.utils import timezone

from buckets.models import Fill, HeldByLot, LotHold
from buckets.operations.care import log_use
from buckets.operations.holding import hold_fill, lift_hold
from buckets.operations.lineage import blend_fill, split_fill
from buckets.operations.lots import hold_all_of_lot, lift_all_of_lot
from buckets.operations.powder import FromLot, powder_in, shares_of
from buckets.operations.readings import record_reading
from buckets.operations.reports import answer_report, report
from buckets.queries import dip_check_of, fill_in
from buckets.trace import origins, spread
from studio.errors import NotAllowed, Refused
from studio.materials.models import Lot
from studio.people.models import Entry, Member
from studio.room import policy
from tests import factories
from tests.buckets import scenario_e

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def room(db):
    return scenario_e.room()


@pytest.fixture
def frit(room):
    return Lot.objects.get(code="FL-07")


def held() -> dict[str, str]:
    """Why each open bucket is held."""
    rows = Fill.objects.filter(emptied_at=None, held_at__isnull=False).select_related("vessel")
    return {fill.vessel.code: fill.held_reason for fill in rows}


def split(fill: Fill, code: str, litres: str = "2") -> Fill:
    return split_fill(
        fill=fill,
        vessel=factories.VesselFactory(code=code),
        volume_l=D(litres),
        stirred=True,
        by=factories.bram(),
    )


# --- edge case 50: bad lot found after weeks


def test_a_bad_lot_found_after_weeks_holds_every_bucket_of_it_in_one_act_listed_and_reversible(
    room, frit, technician
):
    listed = {one.fill.vessel.code for one in spread(frit).open}
    before = Entry.objects.count()
    hold_all_of_lot(lot=frit, reason="wrong grade in the bag", by=technician)
    assert Entry.objects.count() == before + 1
    assert set(held()) == listed == {"B04", "B05"}
    assert set(held().values()) == {"lot FL-07: wrong grade in the bag"}
    for code in listed:
        check = dip_check_of(fill_in(code), timezone.now(), policy.in_force())
        assert check.answer == "do not use"
    lift_all_of_lot(lot=frit, decision="the grade was right, the note was wrong", by=technician)
    assert held() == {}
    assert LotHold.objects.get().decision.startswith("the grade was right")


def test_whoever_used_them_is_told_of_the_hold_and_of_its_end(room, frit, technician):
    names = ("Marek", "Wren", "Ilse", "Yusuf")
    hold_all_of_lot(lot=frit, reason="wrong grade", by=technician)
    assert [Member.objects.get(name=name).unread for name in names] == [1, 1, 1, 1]
    assert "FL-07" in Member.objects.get(name="Ilse").notices.get().words
    lift_all_of_lot(lot=frit, decision="all is well", by=technician)
    assert [Member.objects.get(name=name).unread for name in names] == [2, 2, 2, 2]


def test_a_lot_goes_through_a_split_and_a_merge(room, frit, technician):
    parted = split(room["B04"], "B21")
    other = factories.FillFactory(vessel=factories.VesselFactory(code="B22"), volume_l="3", sg="1.44")
    record_reading(fill=parted, sg=D("1.43"), by=technician)
    record_reading(fill=other, sg=D("1.44"), by=technician)
    blended = blend_fill(
        fill=other, spare=parted, volume_l=D(1), stirred=True, another_glaze=True, glaze="Both", by=technician
    )
    went = {one.fill.pk: one for one in spread(frit).open}
    assert {one.fill.vessel.code for one in went.values()} == {"B04", "B05", "B21", "B22"}
    # the blend holds as much of it as its share of the parted fill says
    share = blended.parents.get(parent_fill=parted).dry_share
    assert went[blended.pk].share == pytest.approx(share * went[parted.pk].share, abs=D("0.000001"))
    hold_all_of_lot(lot=frit, reason="wrong grade", by=technician)
    assert set(held()) == {"B04", "B05", "B21", "B22"}
    assert {row.lot.code for row in origins(blended).lots} == set(scenario_e.LINSEED_LOTS)
    assert origins(blended).unknown == pytest.approx(1 - share, abs=D("0.000001"))


def test_powder_out_of_the_lot_counts_and_stops_counting_when_it_is_taken_back(room, technician):
    from buckets.operations.care import take_back_care

    fill = room["B04"]
    other = factories.VersionFactory(name="Linseed again").recipe
    found = factories.FillFactory(recipe=other, vessel=factories.VesselFactory(code="B23"))
    rows = [
        FromLot(lot=lot_of(line), net_g=(share * 200).quantize(D("0.001")))
        for line, share in shares_of(found.version)
    ]
    row = powder_in(fill=found, rows=rows, by=technician)
    lot = rows[1].lot
    assert {one.fill.vessel.code: one.powder_g for one in spread(lot).open}["B23"] == rows[1].net_g
    assert lot.code in {share.lot.code for share in origins(found).lots}
    take_back_care(care=row, reason="it was another bucket", by=technician)
    assert "B23" not in {one.fill.vessel.code for one in spread(lot).open}
    assert origins(found).lots == []
    assert fill.pk


def lot_of(line) -> Lot:
    return Lot.objects.filter(material=line.material).first()


def test_one_bucket_is_lifted_by_itself_with_a_decision(room, frit, technician):
    hold_all_of_lot(lot=frit, reason="wrong grade", by=technician)
    lift_hold(fill=room["B05"], decision="its tile is good", by=technician)
    assert set(held()) == {"B04"}
    row = HeldByLot.objects.get(fill=room["B05"])
    assert (row.decision, row.lifted_at is None) == ("its tile is good", False)


def test_what_is_held_for_a_report_comes_under_the_lot_when_that_is_answered(room, frit, technician):
    row = report(fill=room["B04"], kind="specks")
    hold_all_of_lot(lot=frit, reason="wrong grade", by=technician)
    assert held()["B04"] == "reported: specks"
    answer_report(report=row, answer="sieved", decision="put right", by=technician)
    assert held()["B04"] == "lot FL-07: wrong grade"
    lift_all_of_lot(lot=frit, decision="fine", by=technician)
    assert held() == {}
    row.refresh_from_db()
    assert row.held_until is not None


def test_lifting_the_lot_leaves_what_is_held_for_another_reason(room, frit, technician):
    hold_fill(fill=room["B05"], reason="the pail leaks", by=technician)
    report(fill=room["B04"], kind="specks")
    hold_all_of_lot(lot=frit, reason="wrong grade", by=technician)
    lift_all_of_lot(lot=frit, decision="fine", by=technician)
    assert held() == {"B04": "reported: specks", "B05": "the pail leaks"}


def test_a_bucket_poured_later_is_held_by_holding_again(room, frit, technician):
    hold_all_of_lot(lot=frit, reason="wrong grade", by=technician)
    with pytest.raises(Refused, match="held for it already"):
        hold_all_of_lot(lot=frit, reason="wrong grade", by=technician)
    lift_hold(fill=room["B05"], decision="its tile is good", by=technician)
    hold_all_of_lot(lot=frit, reason="it is wrong after all", by=technician)
    assert set(held()) == {"B04", "B05"}
    lift_all_of_lot(lot=frit, decision="fine", by=technician)
    assert held() == {}


def test_a_lot_in_no_bucket_is_said_so(room, technician):
    lot = factories.LotFactory(code="SI-99")
    with pytest.raises(Refused, match="No bucket with lot SI-99"):
        hold_all_of_lot(lot=lot, reason="wrong grade", by=technician)
    with pytest.raises(Refused, match="No bucket is held"):
        lift_all_of_lot(lot=lot, decision="fine", by=technician)


def test_only_a_technician_holds_and_lifts_a_lot(room, frit, member, helper, technician):
    for by in (member, helper):
        with pytest.raises(NotAllowed):
            hold_all_of_lot(lot=frit, reason="wrong grade", by=by)
    hold_all_of_lot(lot=frit, reason="wrong grade", by=technician)
    for by in (member, helper):
        with pytest.raises(NotAllowed):
            lift_all_of_lot(lot=frit, decision="fine", by=by)
    assert set(held()) == {"B04", "B05"}


# --- flat in depth and history


def cost(client, address: str, asked) -> int:
    client.get(address)
    with asked() as queries:
        assert client.get(address).status_code == 200
    return len(queries)


def test_the_pages_of_descent_cost_the_same_however_deep_and_long(room, frit, client, technician):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def asked():
        return CaptureQueriesContext(connection)

    client.force_login(technician)
    lot_page, fill_page = "/shelf/lots/FL-07/", "/shelf/B04/trace/"
    shallow = cost(client, lot_page, asked), cost(client, fill_page, asked)
    fill = room["B04"]
    for depth in range(8):
        fill = split(fill, f"B3{depth}", str(9 - depth))
        log_use(fill=fill, volume_l=D("0.05"), pieces=1, by=technician)
    deep_page = f"/shelf/{fill.vessel.code}/trace/"
    assert (cost(client, lot_page, asked), cost(client, deep_page, asked)) == shallow
    assert max(shallow) <= 12
    assert len(origins(fill).fills) == 9
