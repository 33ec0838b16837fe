"""Scenario E: contamination reported and traced (Linseed in B04), with its own numbers."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from buckets.calc.foreign import shifted_pct, worst_case
from buckets.calc.lineage import dry_shares
from buckets.doubt import age_of, doubt_of, held_for, order_of
from buckets.models import Report
from buckets.operations.care import log_use
from buckets.operations.readings import record_reading
from buckets.operations.reports import answer_report, report, set_doubt
from buckets.trace import origins, spread
from buckets.worst import worst_in
from studio.calc.slurry import mix
from studio.errors import NotAllowed, Refused
from studio.materials.models import Lot
from studio.people.models import Member
from studio.room import policy
from tests import factories
from tests.buckets import scenario_e

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def room(now):
    return scenario_e.room(now)


@pytest.fixture
def told(room, now):
    """The report of E2: one tap, no name."""
    return Report.objects.select_related("fill__vessel", "fill__tile", "fill__check_reading").get(
        pk=report(fill=room["B04"], kind="specks", at=now).pk
    )


def unread(name: str) -> int:
    return Member.objects.get(name=name).unread


def test_e1_recipes_blend_by_dry_mass():
    # 9.80 L at 1.426 and 3.20 L at 1.470, rho_s 2.649: scenario E1
    both = mix(volume_1_l=9.80, sg_1=1.426, rho_s_1=2.649, volume_2_l=3.20, sg_2=1.470, rho_s_2=2.649)
    assert both.volume_l == pytest.approx(13.00, abs=0.01)
    assert both.sg == pytest.approx(1.4368, abs=0.0001)
    assert both.dry_kg == pytest.approx(9.123, abs=0.001)
    dry = {"new": D("6.706"), "old": D("2.416")}
    assert dry_shares(dry_g=dry)["old"] == pytest.approx(D("0.265"), abs=D("0.0005"))
    assert 1 - both.dry_share_of_first == pytest.approx(0.265, abs=0.0005)


def test_e2_one_tap_without_a_name_holds_it_and_use_is_refused(room, told, member):
    fill = room["B04"]
    fill.refresh_from_db()
    assert (told.by, told.words, fill.held, fill.held_reason) == (None, "", True, "reported: specks")
    with pytest.raises(Refused, match="held"):
        log_use(fill=fill, volume_l=D("0.1"), by=member)


def test_e2_whoever_used_it_in_the_last_seven_days_is_told_once(told):
    assert [unread(name) for name in ("Marek", "Wren", "Ilse", "Yusuf")] == [1, 1, 1, 1]
    notice = Member.objects.get(name="Ilse").notices.get()
    assert "B04 Linseed was reported: specks" in notice.words
    assert notice.address == "/shelf/B04/"
    assert factories.person("Bo").unread == 0


def test_e3_the_window_of_doubt_and_what_was_used_in_it(told, now):
    doubt = doubt_of(told)
    assert (doubt.good.what, doubt.good.at) == ("tile dipped", scenario_e.moved("04-07 09:00", now))
    assert (doubt.inside.count, doubt.inside.pieces) == (3, 7)
    assert (doubt.before.count, doubt.before.pieces) == (2, 3)
    assert [use.by.name for use in doubt.inside.rows] == ["Ilse", "Yusuf", "Ilse"]


def test_a_gravity_inside_its_window_says_nothing_of_specks_and_does_not_shorten_the_doubt(
    room, now, technician
):
    record_reading(fill=room["B04"], sg=D("1.43"), by=technician, at=scenario_e.moved("04-09 10:00", now))
    specks, lumps = (
        Report.objects.select_related("fill__vessel", "fill__tile", "fill__check_reading").get(
            pk=report(fill=room["B04"], kind=kind, at=now).pk
        )
        for kind in ("specks", "lumps")
    )
    assert doubt_of(specks).good.what == "tile dipped"
    assert doubt_of(lumps).good.what == "reading 1.430 inside its window"


def test_e3_a_technician_moves_the_window(told, technician, now):
    row = set_doubt(
        report=told,
        good_until=scenario_e.moved("04-08 09:00", now),
        good_why="a mug out of the kiln",
        by=technician,
    )
    doubt = doubt_of(row)
    assert doubt.good.what == "a mug out of the kiln"
    assert (doubt.inside.count, doubt.inside.pieces, doubt.before.count) == (2, 4, 3)
    with pytest.raises(Refused, match="after the report"):
        set_doubt(report=row, good_until=now + timedelta(hours=1), by=technician)


def test_e4_the_worst_case_of_a_foreign_glaze():
    # 0.25 L of Slate Hour (1.46, 2.667) in 8.10 L of Linseed (1.418, 2.649): scenario E4
    case = worst_case(
        foreign_l=0.25, foreign_sg=1.46, foreign_rho_s=2.667, volume_l=8.10, sg=1.418, rho_s=2.649
    )
    assert case.foreign_g == pytest.approx(184, abs=1)
    assert case.dry_g == pytest.approx(5623, abs=1)
    assert 100 * case.share == pytest.approx(3.27, abs=0.01)
    assert case.volume_l == pytest.approx(8.35, abs=0.01)
    assert case.sg == pytest.approx(1.4193, abs=0.0001)
    # Linseed: 4.5 of 104.5 red iron; Slate Hour: 0.75 cobalt and 1.5 iron of 102.25
    shifted = shifted_pct(
        share=case.share,
        here_pct={"Red iron oxide": 100 * 4.5 / 104.5},
        foreign_pct={"Cobalt carbonate": 100 * 0.75 / 102.25, "Red iron oxide": 100 * 1.5 / 102.25},
    )
    assert shifted["Cobalt carbonate"][1] == pytest.approx(0.0240, abs=0.0001)
    assert shifted["Red iron oxide"][0] == pytest.approx(4.306, abs=0.001)
    assert shifted["Red iron oxide"][1] == pytest.approx(4.213, abs=0.001)


def test_e4_the_recipes_on_record_give_the_same_shift(room):
    fill = room["B04"]
    fill.particle_density = D("2.649")
    found = worst_in(
        fill,
        scenario_e.slate_hour().recipe,
        foreign_l=D("0.25"),
        foreign_sg=None,
        volume_l=D("8.10"),
        sg=D("1.418"),
    )
    shifts = {shift.name: (shift.before_pct, shift.after_pct) for shift in found.shifts}
    assert set(shifts) == {"Cobalt carbonate", "Red iron oxide"}
    assert shifts["Cobalt carbonate"][1] == pytest.approx(0.0240, abs=0.0001)
    assert shifts["Red iron oxide"] == pytest.approx((4.306, 4.213), abs=0.001)


def test_e5_backward_from_b04_through_both_fills_to_the_six_lots(room):
    came = origins(room["B04"])
    assert [one.fill.pk for one in came.fills] == [room["first"].pk]
    assert len(came.batches) == 2
    assert {row.lot.code for row in came.lots} == set(scenario_e.LINSEED_LOTS)
    assert sum(row.share for row in came.lots) == pytest.approx(D(1), abs=D("0.00001"))
    assert came.unknown == 0
    # frit L is 19 of 104.5 in either batch (demo_studio.md, Linseed)
    frit = next(row for row in came.lots if row.lot.code == "FL-07")
    assert frit.share == pytest.approx(D(19) / D("104.5"), abs=D("0.001"))


def test_e5_forward_from_the_frit_to_three_batches_and_both_buckets(room):
    went = spread(Lot.objects.get(code="FL-07"))
    assert len(went.batches) == 3
    assert {one.fill.pk for one in went.fills} == {room[name].pk for name in ("B04", "B05", "first")}
    assert {one.fill.vessel.code for one in went.open} == {"B04", "B05"}
    assert len(next(one for one in went.open if one.fill.vessel.code == "B04").batches) == 2


def test_e5_specks_in_b04_only_so_a_foreign_glaze_comes_first_and_the_lot_last(told):
    came, doubt = origins(told.fill), doubt_of(told)
    order = order_of(told, came, doubt, policy.in_force())
    assert order.enough
    first = order.ranked[0]
    assert (first.cause.id, first.score) == ("foreign_glaze", 12)
    assert "not of B05" in first.evidence.why
    lot = next(row for row in order.ranked if row.cause.id == "lot_change")
    assert lot.evidence.known == "false"
    assert lot.score == 1
    sieved = next(row for row in order.ranked if row.cause.id == "unsieved_colourant")
    assert sieved.evidence.known == "false"


def test_e5_the_same_reported_of_both_buckets_turns_the_order(told, room):
    report(fill=room["B05"], kind="specks")
    order = order_of(told, origins(told.fill), doubt_of(told), policy.in_force())
    assert order.ranked[0].cause.id == "lot_change"
    assert "B05" in order.ranked[0].evidence.why


def test_e6_released_as_tinted_and_everybody_reads_the_answer(told, technician, now):
    row = answer_report(
        report=told,
        answer="Specks stay on the mesh at 120.",
        decision="tinted",
        by=technician,
        at=now + timedelta(hours=20),
    )
    fill = row.fill
    assert (fill.held, fill.tinted, fill.tile_due) == (False, True, True)
    assert held_for(row, now) == timedelta(hours=20)
    assert [unread(name) for name in ("Marek", "Ilse")] == [2, 2]
    assert "no food-surface claim" in Member.objects.get(name="Ilse").notices.first().words


def test_e6_a_member_can_not_release(told, member):
    with pytest.raises(NotAllowed):
        answer_report(report=told, answer="looks fine", decision="tinted", by=member)


def test_an_open_report_ages_visibly(told, now):
    rules = policy.in_force()
    assert [age_of(told, now + timedelta(days=n), rules).late for n in (0, 2, 3)] == [False, False, True]
    assert age_of(told, now + timedelta(days=3), rules).days == 3
