"""What a fill carries as it stands is what a fresh reading of its whole history says, whatever was done."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import transaction
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buckets.models import Fill
from buckets.operations import care, readings
from buckets.operations.fills import take_over_bucket
from studio.errors import Refused
from studio.people.models import Member
from tests.buckets.rows import pail
from tests.factories import bram, person

DAY = timedelta(days=1)
MINUTES = st.integers(min_value=0, max_value=200)
LITRES = st.integers(min_value=1, max_value=9000).map(lambda ml: Decimal(ml) / 1000)
GRAVITY = st.integers(min_value=11000, max_value=19000).map(lambda n: Decimal(n) / 10000)

ACTS = st.lists(
    st.one_of(
        st.tuples(st.just("stir"), MINUTES),
        st.tuples(st.just("water"), MINUTES, LITRES),
        st.tuples(st.just("use"), MINUTES, LITRES),
        st.tuples(st.just("check"), MINUTES, GRAVITY, st.none() | LITRES),
        st.tuples(st.just("member"), MINUTES, GRAVITY, st.none() | LITRES),
        st.tuples(st.just("back"), st.sampled_from(("readings", "care", "uses")), st.integers(0, 50)),
    ),
    max_size=14,
)


def do(fill: Fill, by: Member, other: Member, start, said) -> None:
    """One act as told; what the rule refuses is not done."""
    kind, *rest = said
    at = None if kind == "back" else start + timedelta(minutes=rest[0])
    try:
        if kind == "stir":
            care.stir(fill=fill, by=by, at=at)
        elif kind == "water":
            care.water_in(fill=fill, volume_l=rest[1], by=by, at=at)
        elif kind == "use":
            care.log_use(fill=fill, volume_l=rest[1], by=by, at=at)
        elif kind == "back":
            take_back(fill, by, *rest)
        else:
            reader = by if kind == "check" else other
            readings.record_reading(fill=fill, sg=rest[1], volume_l=rest[2], by=reader, at=at)
    except Refused:
        pass


def take_back(fill: Fill, by: Member, what: str, which: int) -> None:
    rows = list(getattr(fill, what).order_by("id"))
    if not rows:
        return
    row = rows[which % len(rows)]
    if what == "readings":
        readings.take_back_reading(reading=row, reason="slip", by=by)
    elif what == "care":
        care.take_back_care(care=row, reason="slip", by=by)
    else:
        care.take_back_use(use=row, reason="slip", by=by)


def fresh(fill: Fill) -> dict:
    """All five facts from every row of history, in plain Python, without the code under test."""
    read, cared, used = list(fill.readings.all()), list(fill.care.all()), list(fill.uses.all())
    back = {row.replaces_id for row in read}
    standing = [row for row in read if row.pk not in back and row.replaces_id is None]
    undone = {row.reverses_id for row in cared}
    cared = [row for row in cared if row.pk not in undone and row.reverses_id is None]
    undone = {row.reverses_id for row in used}
    used = [row for row in used if row.pk not in undone and row.reverses_id is None]

    def newest(rows):
        return max(rows, key=lambda row: (row.at, row.pk), default=None)

    level = newest([row for row in standing if row.volume_l is not None])
    litres = level.volume_l if level else Decimal(0)
    for row in (*cared, *used):
        after = level is None or (row.at, row.entered_at) >= (level.at, level.entered_at)
        if after and row.volume_l is not None:
            litres += row.volume_l if row in cared else -row.volume_l
    measured = [row for row in standing if row.sg is not None]
    stirred = newest([row for row in cared if row.kind == "stirred"])
    return {
        "volume_l": max(litres, Decimal(0)),
        "check_reading": newest([row for row in measured if row.is_check]),
        "member_reading": newest([row for row in measured if not row.is_check]),
        "stirred_at": stirred.at if stirred else None,
        "stirred_by": stirred.by if stirred else None,
    }


@pytest.mark.django_db
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(acts=ACTS)
def test_kept_facts_equal_a_fresh_reading_of_history(acts):
    with transaction.atomic():
        start = timezone.now() - DAY
        by, other = bram(), person("Ilse")
        fill = take_over_bucket(vessel=pail(), glaze="Blue", volume_l=Decimal(6), by=by, at=start)
        for said in acts:
            do(fill, by, other, start, said)
        fill.refresh_from_db()
        expected = fresh(fill)
        assert {name: getattr(fill, name) for name in expected} == expected
        transaction.set_rollback(True)
