"""Linseed has no class when little of its silica is fine; the EU has a limit for quartz in the air."""

import pytest
from django.urls import reverse

from safety.classifying import side_by_side
from safety.mixes import mix_of_version
from safety.operations.classifying import kept
from tests.factories import VersionFactory, bram
from tests.safety.sheet_rows import linseed_filed

pytestmark = pytest.mark.django_db


@pytest.fixture
def mix(technician):
    version = VersionFactory(name="Linseed", approved=False)
    linseed_filed(fine="2")  # 0.5 % of the glaze: below 1 %, no STOT RE (mixtures.md 6)
    return mix_of_version(version)


def test_a_glaze_without_a_class_names_the_sheet_on_request_in_the_eu_alone(mix):
    found = {law: rows[0].result for law, rows in side_by_side([mix], ["EU", "US", "UN"]).items()}
    assert found["EU"].classes == ()
    assert found["EU"].label.euh == ("EUH210",)
    assert found["US"].label.euh == found["UN"].label.euh == ()
    (reason,) = found["EU"].on_request
    assert "0.1 (mg/m³) [O]" in reason.why  # mixtures.md 12: EU 0.1
    assert 24 < reason.pct < 25  # 26 × 98 / 104.5, fine and coarse together


def test_the_derivation_says_why_it_stands(client, mix, technician):
    row = kept(mix=mix, what="Linseed, version 1", why="a test", by=bram())
    client.force_login(technician)
    page = client.get(reverse("classification", args=[row.number])).content.decode()
    assert "EUH210 stands although it has no class" in page
    assert "workplace limit, EU, respirable crystalline silica made by work: 0.1 (mg/m³) (opened)" in page
