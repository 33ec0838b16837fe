"""Laws of the dip check: what holds whatever the facts are. Moments and readings invented."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from buckets.calc.dip import GRAVITY, Facts, FlowReading, SgReading, dip_check

NOW = datetime(2026, 4, 8, 12, 0, tzinfo=UTC)
U = 0.0044  # 100 mL cylinder and a 0.1 g scale
WINDOW = {"target": 1.45, "half_window": 0.02}


def ago(**how):
    return NOW - timedelta(**how)


FIT = Facts(
    state="in use",
    technician=SgReading(sg=1.452, u=U, at=ago(days=1)),
    stirred_at=ago(minutes=1),
    volume_l=8.0,
    **WINDOW,
)


def readings(youngest_h, oldest_h):
    return st.builds(
        SgReading,
        sg=st.floats(1.38, 1.52),
        u=st.none() | st.sampled_from([0.0, 0.002, 0.0044, 0.0092]),
        at=st.integers(youngest_h, oldest_h).map(lambda hours: ago(hours=hours)),
        volume_l=st.none() | st.sampled_from([8.0, 10.0, 14.0]),
    )


READINGS = st.none() | readings(0, 15 * 24)
KINDS = st.sampled_from(["water in", "powder in", "water off", "additive in", "topped up", "thawed"])
HOURS_AGO = st.integers(0, 15 * 24).map(lambda hours: ago(hours=hours))
FLOWS = st.builds(
    FlowReading,
    seconds=st.sampled_from([30.0, 46.0, 50.0, 54.0, 80.0]),
    reference_s=st.just(50.0),
    at=HOURS_AGO,
)


@st.composite
def changes(draw):
    """What was done, the newest last: what thinned or thickened before is no later than it."""
    kind, at = draw(KINDS), draw(HOURS_AGO)
    before = st.none() | HOURS_AGO.map(lambda moment: min(moment, at))
    return {"change": kind, "changed_at": at, "thinned_at": draw(before), "thickened_at": draw(before)}


PLAIN = st.builds(
    Facts,
    state=st.sampled_from(["testing", "in use", "in use", "in use", "emptied"]),
    held_reason=st.none() | st.none() | st.sampled_from(["", "a brush was in it"]),
    technician=READINGS,
    member=READINGS,
    target=st.none() | st.just(1.45),
    half_window=st.none() | st.sampled_from([0.01, 0.02]),
    stirred_at=st.none() | st.integers(0, 20).map(lambda minutes: ago(minutes=minutes)),
    settles_min=st.sampled_from([2.0, 5.0, 15.0]),
    volume_l=st.none() | st.sampled_from([0.0, 0.5, 8.0, 12.0]),
    depth_cm=st.none() | st.sampled_from([0.0, 4.0, 25.0]),
    unexplained=st.sampled_from([False, False, True]),
    flow=st.none() | FLOWS,
)
FACTS = st.tuples(PLAIN, st.just({}) | changes()).map(lambda both: replace(both[0], **both[1]))


def gravity(facts, now=NOW):
    return GRAVITY[dip_check(facts=facts, now=now).answer]


@given(facts=FACTS, minutes=st.integers(0, 60 * 24 * 20))
def test_time_alone_never_makes_the_answer_better(facts, minutes):
    assert gravity(facts, NOW + timedelta(minutes=minutes)) >= gravity(facts)


@given(
    facts=FACTS,
    reading=readings(0, 15 * 24),
    hours=st.integers(0, 24 * 20),
    kind=st.sampled_from(["technician", "member"]),
)
def test_the_same_reading_taken_earlier_never_makes_the_answer_better(facts, reading, hours, kind):
    only = replace(facts, **{"technician": None, "member": None, kind: reading})
    older = replace(reading, at=reading.at - timedelta(hours=hours))
    assert gravity(replace(only, **{kind: older})) >= gravity(only)


@given(facts=FACTS)
def test_a_hold_wins_over_everything(facts):
    assert dip_check(facts=replace(facts, held_reason="x"), now=NOW).answer == "do not use"


@given(facts=FACTS)
def test_stirring_changes_nothing_but_stir_first(facts):
    stirred, unstirred = replace(facts, stirred_at=NOW), replace(facts, stirred_at=None)
    before, after = dip_check(facts=unstirred, now=NOW).answer, dip_check(facts=stirred, now=NOW).answer
    assert (before, after) in {("stir first", "dip"), ("measure first",) * 2, ("do not use",) * 2}


@given(
    facts=FACTS,
    technician=st.none() | readings(7 * 24, 30 * 24),
    member=st.none() | readings(2 * 24, 30 * 24),
)
def test_an_old_reading_never_gives_dip(facts, technician, member):
    facts = replace(facts, technician=technician, member=member)
    assert gravity(facts) >= GRAVITY["measure first"]


@given(facts=FACTS)
def test_dip_always_says_until_when_and_that_is_still_to_come(facts):
    found = dip_check(facts=facts, now=NOW)
    if found.answer in ("dip", "stir first"):
        assert found.holds_until > NOW
        assert found.reading is not None
    else:
        assert found.holds_until is None
    assert found.reasons


INSIDE = st.builds(
    SgReading,
    sg=st.floats(1.445, 1.455),
    u=st.just(U),
    at=st.integers(0, 7 * 24 * 60 - 1).map(lambda minutes: ago(minutes=minutes)),
)


@given(technician=INSIDE, member=READINGS, stirred=st.none() | st.integers(0, 20))
def test_what_it_says_to_hold_until_is_when_the_answer_changes(technician, member, stirred):
    stirred_at = None if stirred is None else ago(minutes=stirred)
    facts = replace(FIT, technician=technician, member=member, stirred_at=stirred_at)
    found = dip_check(facts=facts, now=NOW)
    if found.answer == "measure first":  # a member read it outside
        assert found.holds_until is None
        return
    just_before = found.holds_until - timedelta(seconds=1)
    assert gravity(facts, just_before) == gravity(facts)
    assert gravity(facts, found.holds_until) > gravity(facts)


@given(facts=FACTS, technician=INSIDE, sg=st.floats(1.38, 1.52))
def test_a_members_undecided_reading_leaves_the_technicians_as_it_stands(facts, technician, sg):
    read = replace(facts, technician=technician, **WINDOW)
    member = SgReading(sg=sg, u=None, at=ago(minutes=5))
    assert gravity(replace(read, member=member)) == gravity(replace(read, member=None))


# --- the laws of what was added: changes, surprises, flow, use, depth


@given(facts=FACTS, member=readings(0, 15 * 24))
def test_a_members_reading_never_resets_the_technicians_check(facts, member):
    """It neither clears what a technician found, nor lasts longer for it, nor leaves anything behind."""
    without, found = replace(facts, member=None), replace(facts, member=member)
    if gravity(without) == GRAVITY["do not use"]:
        assert gravity(found) >= GRAVITY["measure first"]
    over = member.at + timedelta(days=facts.member_valid_days)
    assert gravity(found, max(over, NOW)) >= gravity(without, max(over, NOW))


@given(facts=FACTS)
def test_what_nobody_has_explained_is_never_dipped_into(facts):
    assert gravity(replace(facts, unexplained=True)) >= GRAVITY["measure first"]


@given(facts=FACTS, member=READINGS)
def test_no_reading_clears_a_surprise_only_a_person_does(facts, member):
    facts = replace(facts, unexplained=True, member=member)
    assert gravity(facts) >= gravity(replace(facts, unexplained=False))


@given(facts=FACTS, change=changes())
def test_something_done_since_never_makes_it_fit(facts, change):
    undone = {"change": None, "changed_at": None, "thinned_at": None, "thickened_at": None}
    before, after = replace(facts, **undone), replace(facts, **change)
    fresh = [one for one in (facts.technician, facts.member) if one and one.at > change["changed_at"]]
    if not fresh:
        assert gravity(after) >= GRAVITY["measure first"]
    if gravity(before) == GRAVITY["measure first"] and facts.member is None:
        assert gravity(after) >= GRAVITY["measure first"]


@given(
    facts=FACTS,
    more=st.sampled_from([1.5, 3.0, 10.0]),
    whose=st.sampled_from(["technician", "member", "both"]),
)
def test_more_doubt_never_turns_measure_first_into_dip(facts, more, whose):
    names = ("technician", "member") if whose == "both" else (whose,)
    doubted = {
        name: replace(one, u=more * one.u)
        for name in names
        if (one := getattr(facts, name)) and one.u is not None
    }
    if gravity(facts) >= GRAVITY["measure first"]:
        assert gravity(replace(facts, **doubted)) >= GRAVITY["measure first"]


@given(facts=FACTS)
def test_stirring_never_makes_it_worse(facts):
    assert gravity(replace(facts, stirred_at=NOW)) <= gravity(facts)


@given(facts=FACTS, used=st.sampled_from([0.3, 2.5, 6.0]))
def test_using_it_never_makes_it_better(facts, used):
    if facts.volume_l is not None:
        less = replace(facts, volume_l=max(facts.volume_l - used, 0.0))
        assert gravity(less) >= gravity(facts)


@given(facts=FACTS, flow=FLOWS)
def test_a_flow_never_makes_it_better_and_one_within_its_reference_changes_nothing(facts, flow):
    without = replace(facts, flow=None)
    assert gravity(replace(facts, flow=flow)) >= gravity(without)
    assert gravity(replace(facts, flow=replace(flow, seconds=54.0))) == gravity(without)


@given(facts=FACTS, depth_cm=st.none() | st.floats(0.1, 40))
def test_the_depth_never_changes_the_answer(facts, depth_cm):
    assert gravity(replace(facts, depth_cm=depth_cm)) == gravity(facts)


@given(facts=FACTS)
def test_every_reason_against_names_the_act_that_would_change_it_but_for_an_emptied_fill(facts):
    found = dip_check(facts=facts, now=NOW)
    speaks_for = {"inside", "no window", "stirred", "emptied"}
    for reason in found.reasons:
        assert bool(reason.act) == (reason.code not in speaks_for)
    assert set(found.acts) == {reason.act for reason in found.reasons} - {""}
