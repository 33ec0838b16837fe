"""Tables of limits of the air and of changes of the law: their marks, their numbers, what they do.

Values: mixtures.md 12 and sds.md 3, with the marks given there.
"""

from datetime import date

import pytest
from django.urls import reverse
from django.utils import timezone

from safety import air_limits, reclassified
from safety.calc.cas import cas_problem
from safety.composing import on_file
from safety.sheets import sheet_states
from studio.room import policy
from tests.factories import bram
from tests.safety.sheet_rows import classed, constituent, filed, quartz

TODAY = date(2026, 4, 7)
BORAX, COPPER, TITANIUM = "1303-96-4", "12069-69-1", "13463-67-7"


def test_every_row_has_numbers_that_fit_and_a_mark():
    for row in (*air_limits.table(), *reclassified.table()):
        assert [cas for cas in row.cas if cas_problem(cas)] == []
        assert row.status in ("[O]", "[M]", "[O secondary]")
    assert len({(row.cas, row.authority, row.what) for row in air_limits.table()}) == len(air_limits.table())


def test_a_substance_has_its_limits_and_what_has_none_those_of_dust():
    quartz = {row.authority: row.text for row in air_limits.air_limits("14808-60-7")}
    assert quartz == {"OSHA PEL": "0.05", "ACGIH TLV": "0.025", "EU": "0.1", "UK": "0.1"}
    assert {row.what for row in air_limits.air_limits("1332-58-7")} == {"other dust"}
    assert {row.what for row in air_limits.air_limits("")} == {"other dust"}
    manganese = air_limits.air_limits("598-62-9")[0]
    assert manganese.sentence == "OSHA PEL, manganese compounds, as Mn: 5 as a ceiling (mg/m³)"


@pytest.mark.parametrize(
    ("cas", "dated", "since"),
    [
        (BORAX, date(2025, 1, 31), date(2025, 2, 1)),
        (BORAX, date(2025, 2, 1), None),
        (COPPER, date(2022, 12, 16), date(2022, 12, 17)),
        (COPPER, date(2022, 12, 17), None),
        (TITANIUM, date(2025, 7, 31), date(2025, 8, 1)),
        ("14808-60-7", date(2000, 1, 1), None),
        (BORAX, None, None),
    ],
)
def test_a_sheet_written_before_the_law_changed_does_not_know_of_it(cas, dated, since):
    found = reclassified.changed_since(cas=["7732-18-5", cas], dated=dated, today=TODAY)
    assert (found.since if found else None) == since


def test_a_change_to_come_makes_no_sheet_old():
    assert reclassified.changed_since(cas=[BORAX], dated=date(2023, 1, 1), today=date(2025, 1, 31)) is None


def test_a_class_that_was_taken_away_leaves_its_sheet_due_and_not_missing():
    found = reclassified.changed_since(cas=[TITANIUM], dated=date(2024, 1, 1), today=TODAY)
    assert found.counts_as == "due"


def test_other_laws_do_not_change_with_that_of_the_eu():
    said = {"cas": [BORAX], "days": [date(2024, 6, 1), None], "today": TODAY}
    assert reclassified.change_for(law="US", **said) is None
    assert reclassified.change_for(law="EU", **said)[0] == "missing"


@pytest.mark.django_db
def test_a_sheet_older_than_the_law_counts_as_missing_on_pages_and_for_labels(monkeypatch):
    today = timezone.localdate()
    sheet = filed("Borax", constituent("borax", "100", classed("Repr. 1B"), cas=BORAX))
    assert sheet_states([sheet.material_id], today, policy.in_force())[sheet.material_id].word == "current"
    change = reclassified.Change(
        cas=(BORAX,), words="borax is classed anew", since=today, counts_as="missing", status="[P]"
    )
    monkeypatch.setattr(reclassified, "table", lambda: (change,))
    state = sheet_states([sheet.material_id], today, policy.in_force())[sheet.material_id]
    assert state.word == "missing"
    assert state.sentence.endswith("borax is classed anew.")
    (missing,) = on_file([sheet.material_id]).made("EU")[sheet.material_id].missing
    assert "older than the law" in missing


@pytest.mark.django_db
def test_a_sheets_page_shows_limits_of_the_air_as_reference_with_their_marks(client):
    sheet = filed("Silica", quartz("98", fine="30"))
    client.force_login(bram())
    for address in (
        reverse("sheet", args=[sheet.number]),
        reverse("binder-material", args=[sheet.material_id]),
    ):
        page = client.get(address).content.decode()
        assert "for reference only" in page
        assert "OSHA PEL, respirable crystalline silica: 0.05 (mg/m³)" in page
        assert "opened" in page
