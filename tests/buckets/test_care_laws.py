"""Laws of care: what a page promises is what history expects, and taking back leaves a fill as it was."""

from decimal import Decimal

import pytest
from django.db import transaction
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buckets.advice import to_target
from buckets.afterwards import afterwards, predicted_sg
from buckets.calc.changes import of_powder, of_water
from buckets.models import Care, Fill
from buckets.operations import additives, care, powder
from buckets.operations.changing import density_of
from buckets.operations.readings import record_reading
from buckets.views.trying import tried
from studio.errors import Refused
from studio.people.models import Entry
from studio.room import policy
from tests.buckets.rows import HOUR, in_use
from tests.factories import VersionFactory, bram

pytestmark = pytest.mark.django_db
D = Decimal

LITRES = st.integers(1, 3000).map(lambda ml: D(ml) / 1000)
GRAMS = st.integers(1, 2000).map(D)
GRAVITY = st.integers(12000, 18000).map(lambda n: D(n) / 10000)
DONE = st.one_of(
    st.tuples(st.just("water"), LITRES),
    st.tuples(st.just("off"), LITRES),
    st.tuples(st.just("powder"), GRAMS),
    st.tuples(st.just("rinse"), LITRES),
    st.tuples(st.just("salt"), st.integers(1, 60).map(lambda ml: D(ml) / 1000)),
    st.tuples(st.just("bentonite"), st.integers(1, 120).map(D)),
    st.tuples(st.just("use"), LITRES),
)
HERE = [HealthCheck.function_scoped_fixture]


@pytest.fixture
def bucket(db) -> Fill:
    """9 L of Linseed in a pail."""
    return in_use("B04", litres="9", recipe=VersionFactory().recipe)


def measured(fill: Fill, sg: Decimal) -> Fill:
    """The same, measured an hour ago."""
    record_reading(fill=fill, sg=sg, u_sg=D("0.002"), by=bram(), at=timezone.now() - HOUR)
    return fresh(fill)


def fresh(fill: Fill) -> Fill:
    return Fill.objects.select_related("vessel", "check_reading", "version").get(pk=fill.pk)


def how(what: str, amount: Decimal):
    """The act and its words."""
    match what:
        case "water":
            return care.water_in, {"volume_l": amount}
        case "off":
            return care.water_off, {"how": "standing open", "volume_l": amount}
        case "powder":
            return powder.powder_in, {"mass_g": amount}
        case "rinse":
            return care.sieve_fill, {"mesh": 80, "rinse_l": amount}
        case "salt":
            return additives.additive_in, {
                "additive": "magnesium sulfate",
                "volume_l": amount,
                "stock_g_per_l": D(200),
            }
        case "bentonite":
            return additives.additive_in, {"additive": "bentonite", "mass_g": amount}
    return care.log_use, {"volume_l": amount}


def done(fill: Fill, what: str, amount: Decimal):
    """The act done; None when the rule refuses it."""
    do, said = how(what, amount)
    try:
        return do(fill=fill, by=bram(), **said)
    except Refused:
        return None


@settings(max_examples=20, suppress_health_check=HERE)
@given(sg=GRAVITY, said=st.lists(DONE, min_size=1, max_size=5), read=GRAVITY)
def test_what_the_page_says_it_should_be_is_what_history_expected_of_the_next_reading(bucket, sg, said, read):
    with transaction.atomic():
        fill = measured(bucket, sg)
        for what, amount in said:
            done(fill, what, amount)
        promised = predicted_sg(fresh(fill))
        record_reading(fill=fill, sg=read, u_sg=D("0.002"), by=bram())
        expected = fill.intervals.order_by("-at", "-id").first()
        if promised is None or expected.predicted_sg is None:
            assert promised == expected.predicted_sg
        else:
            assert expected.predicted_sg == pytest.approx(promised, abs=D("0.0001"))
        transaction.set_rollback(True)


@settings(max_examples=20, suppress_health_check=HERE)
@given(sg=GRAVITY, said=DONE.filter(lambda said: said[0] != "use"))
def test_what_is_shown_beforehand_is_what_it_comes_to(bucket, sg, said):
    with transaction.atomic():
        fill = measured(bucket, sg)
        do, words = how(*said)
        shown = outcome(lambda: tried(do, fill, by=bram(), **words).after)
        assert not Care.objects.exists()
        row = outcome(lambda: do(fill=fill, by=bram(), **words))
        if isinstance(row, str):
            assert shown == row
        else:
            now = fresh(fill)
            assert (shown.volume_l, shown.sg) == (now.volume_l, predicted_sg(now))
        transaction.set_rollback(True)


def outcome(do):
    """What came of it, or the sentence of its refusal."""
    try:
        return do()
    except Refused as refusal:
        return refusal.sentence


def test_trying_writes_nothing_at_all(bucket):
    fill = measured(bucket, D("1.50"))
    before = Entry.objects.count()
    tried(care.sieve_fill, fill, mesh=80, rinse_l=D("0.2"), by=bram())
    assert (Care.objects.count(), Entry.objects.count()) == (0, before)
    assert vars(fresh(fill))["volume_l"] == D(9)


@settings(max_examples=20, suppress_health_check=HERE)
@given(sg=GRAVITY)
def test_the_advice_followed_whole_comes_to_the_target(bucket, sg):
    with transaction.atomic():
        fill = measured(bucket, sg)
        advice, rules = to_target(fill), policy.in_force()
        if advice.way == "thin":
            change = of_water(litres=float(advice.water_l))
        elif advice.way == "thicken":
            change = of_powder(grams=float(advice.powder_g), rho_s=float(density_of(fill)))
        else:
            change = of_water(litres=0.0)
        after = afterwards(fill, change, rules, from_sg=sg)
        assert after.sg == pytest.approx(fill.target_sg, abs=D("0.0002"))
        if advice.way == "thicken":
            off = afterwards(fill, of_water(litres=-float(advice.leaves_l)), rules, from_sg=sg)
            assert off.sg == pytest.approx(fill.target_sg, abs=D("0.0003"))
        transaction.set_rollback(True)


@settings(max_examples=20, suppress_health_check=HERE)
@given(sg=GRAVITY, said=st.lists(DONE, max_size=3), one=DONE)
def test_one_more_act_taken_back_leaves_the_fill_as_it_was(bucket, sg, said, one):
    with transaction.atomic():
        fill = measured(bucket, sg)
        for what, amount in said:
            done(fill, what, amount)
        before = {**vars(fresh(fill)), "sg": predicted_sg(fresh(fill))}
        row = done(fill, *one)
        if row is not None:
            back = care.take_back_care if isinstance(row, Care) else care.take_back_use
            back(**{"care" if isinstance(row, Care) else "use": row}, reason="slip", by=bram())
        after = {**vars(fresh(fill)), "sg": predicted_sg(fresh(fill))}
        for name in (name for name in before if not name.startswith(("_", "told_"))):
            assert after[name] == before[name], name
        transaction.set_rollback(True)
