"""The demo studio weighs through the gates: by who is signed off, with a reason where a sheet is old."""

from datetime import UTC, datetime

import pytest
from django.utils import timezone

from batches.models import Batch, Weighing
from safety.models import Acknowledgement
from tests.front.demo_studio import laid_at

pytestmark = pytest.mark.django_db

# Its sheets move with its days, laws do not: on this day its copper sheet is older than the change of
# December 2022 (reclassified.csv, from memory).
OLD_COPPER = datetime(2024, 1, 15, 14, 20, tzinfo=UTC)


@pytest.fixture(scope="module")
def studio(django_db_setup, django_db_blocker):
    with laid_at(OLD_COPPER, django_db_blocker) as moment:
        yield moment


def test_a_helper_without_the_sign_off_leaves_what_is_hazardous_to_bram(studio):
    rows = Weighing.objects.filter(line__batch__number__endswith="-131").select_related("line", "by")
    by = {row.line.name: row.by.name for row in rows}
    assert by["Silica"] == "Bram"
    assert by["Whiting"] == "Yusuf"


def test_bram_lets_through_what_has_no_current_sheet_on_the_day_it_is_weighed(studio):
    copper = Acknowledgement.objects.select_related("by").get(material__name="Copper carbonate")
    batch = Batch.objects.get(number__endswith="-126")
    weighed = Weighing.objects.get(line__batch=batch, line__name="Copper carbonate")
    assert (copper.what, copper.by.name) == (str(batch), "Bram")
    assert timezone.localdate(copper.at) == timezone.localdate(weighed.at)
    assert "a sheet is asked for" in copper.reason
