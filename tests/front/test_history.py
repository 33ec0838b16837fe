"""The large studio for measuring: its books agree, it is always the same, and it stays out of real ones.

Written at a fiftieth of its size, 400 readings a year; the numbers are the command's own description.
"""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from buckets import queries
from buckets.models import Care, Fill, Reading, Use
from buckets.operations.standing import STANDS
from studio.front import history, proof
from studio.materials.models import Material, Movement
from studio.people.models import Member
from studio.recipes.models import Recipe
from studio.room.models import Vessel
from studio.room.policy import in_force
from tests.factories import person

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 11, 24, 15, 0, tzinfo=UTC)
SCALE = 0.02


def written(years: float) -> dict:
    """What a history leaves, and nothing of it afterwards."""
    with transaction.atomic():
        rows = history.fill(NOW, years, SCALE)
        assert proof.problems() == []
        newest = Reading.objects.filter(fill__vessel__code="B40").order_by("-at")
        rules = in_force()
        left = {
            "rows": rows,
            "newest": list(newest.values_list("sg", "is_check")[:6]),
            "ledger": list(Movement.objects.order_by("pk").values_list("mass_g", "cost")[:2000]),
            "answers": {queries.dip_check_of(fill, NOW, rules).answer for fill in queries.open_fills()},
            "vessels": Vessel.objects.count(),
            "recipes": Recipe.objects.filter(current__state="approved").count(),
            "promised": Material.objects.filter(reserved_g__gt=0).exists(),
            "emptied": Fill.objects.filter(state="emptied").count(),
        }
        transaction.set_rollback(True)
    return left


def test_it_is_large_agrees_with_itself_and_is_the_same_each_time():
    once = written(1)
    assert once == written(1)
    assert (once["vessels"], once["recipes"]) == (64, 120)
    assert once["rows"]["buckets.reading"] >= 400
    assert once["rows"]["materials.movement"] >= 2000
    assert once["emptied"] >= 32
    assert once["promised"]
    assert {"stir first", "measure first", "do not use"} <= once["answers"]
    longer = written(2)
    assert longer["rows"]["buckets.reading"] >= 800
    assert longer["newest"] == once["newest"]  # the last rounds do not depend on what lies before


@pytest.mark.parametrize("years", [0, 41])
def test_years_that_are_none(years):
    with pytest.raises(CommandError, match="Years lie above 0"):
        call_command("history", years)


def test_it_is_not_written_where_people_are():
    person("Ilse")
    with pytest.raises(CommandError, match="There are people in this database"):
        call_command("history", 1)
    assert Member.objects.count() == 1


def test_it_is_not_written_twice():
    Member.objects.create(username="history-01", name="Person 01")
    with pytest.raises(CommandError, match="holds such a history already"):
        call_command("history", 1)


@pytest.mark.parametrize("rows", [Care, Use])
def test_what_stands_is_looked_for_within_its_fill(rows):
    """SQLite would read every row there is through the unique index that is almost always empty."""
    plan = rows.objects.filter(STANDS, fill=1, at__gte=NOW, volume_l__gt=Decimal(0)).explain()
    assert "of_fill" in plan or "Seq Scan" in plan  # PostgreSQL reads an empty table whole
