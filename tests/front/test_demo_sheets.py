"""The invented sheets of the demo studio are never milder than our table says of the same substance."""

from datetime import date

import pytest

from safety.calc.composition import family, severity
from safety.calc.skin_eye import is_extreme
from safety.models import Sheet
from safety.substances import table as substances
from studio.front.demo.binder import told
from studio.front.demo.cast import table

# A number every frit bears, one with lead among them: which row is meant is named in the demo's own table.
EVERY_FRIT = "65997-18-4"
SHEETS = [row for row in table("sheets") if row["kind"] == Sheet.Kind.SHEET]


def of_table(cas):
    return [row.hazards for row in substances() if cas and row.cas == cas and cas != EVERY_FRIT]


@pytest.mark.parametrize("row", SHEETS, ids=lambda row: f"{row['product']} {row['version']}")
def test_no_class_figure_or_limit_of_section_3_is_milder_than_the_table(row):
    for one in told(row, date.fromisoformat)["constituents"]:
        for known in of_table(one.cas):
            for cls in known.classes:
                mine = [severity(said) for said in one.hazards.classes if family(said) == family(cls)]
                assert mine, (one.name, cls)
                assert min(mine) <= severity(cls), (one.name, cls)
            for route, value in known.ate.items():
                assert one.hazards.ate[route] <= value, (one.name, route)
            assert (one.hazards.m_acute or 1) >= (known.m_acute or 1), one.name
            assert (one.hazards.m_chronic or 1) >= (known.m_chronic or 1), one.name
            assert set(known.limits) <= set(one.hazards.limits), one.name
            assert set(known.unknown_acute) <= set(one.hazards.unknown_acute), one.name


@pytest.mark.parametrize("row", SHEETS, ids=lambda row: f"{row['product']} {row['version']}")
def test_section_2_says_every_class_in_words_and_never_none_where_there_is_one(row):
    said = told(row, date.fromisoformat)
    words = said["sections"][2]
    assert ("Not classified as hazardous." in words) is (not said["hazards"].classes)
    for cls in said["hazards"].classes:
        assert cls in words


def test_an_alkaline_sheet_reads_as_one():
    (row,) = [row for row in SHEETS if row["material"] == "Sodium silicate solution"]
    said = told(row, date.fromisoformat)
    assert {"Skin Irrit. 2", "Eye Dam. 1"} <= set(said["hazards"].classes)
    assert "Signal word: Danger." in said["sections"][2]
    assert "H318" in said["sections"][2]


@pytest.mark.parametrize("row", SHEETS, ids=lambda row: f"{row['product']} {row['version']}")
def test_a_ph_that_counts_as_corrosive_is_classed_so(row):
    said = told(row, date.fromisoformat)
    extreme = said["ph"] is not None and is_extreme(said["ph"])
    assert not extreme or "Skin Corr. 1" in said["hazards"].classes


def test_quartz_below_its_limit_still_has_the_sheet_on_request():
    """The EU has a limit for it in the air: from 1 % on without a class (CLP Annex II 2.10)."""
    (row,) = [row for row in SHEETS if row["material"] == "Potash feldspar"]
    assert "EUH210" in told(row, date.fromisoformat)["sections"][2]


@pytest.mark.parametrize("row", SHEETS, ids=lambda row: f"{row['product']} {row['version']}")
def test_the_statements_of_a_sheet_leave_nothing_to_be_filled_in(row):
    words = told(row, date.fromisoformat)["sections"][2]
    assert not {"<", ">", "…", "[", "‹"} & set(words), words
