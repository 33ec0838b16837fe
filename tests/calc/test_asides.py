"""What is said beside a sheet that stands: its language, and whose it is (sds.md 3, our own rule)."""

import pytest

from safety.calc.asides import language_aside, supplier_aside

LOTS = [
    ("SI-20", "Tollgate Minerals"),
    ("SI-21", "Northmoor Clay Supply"),
    ("SI-22", "Northmoor Clay Supply"),
]


@pytest.mark.parametrize(
    "language", ["", "  ", "English", "english", "EN", "en-GB", "nl, en", "English (UK)", "Dutch / English"]
)
def test_a_sheet_we_can_read_or_of_which_nobody_said_its_language_says_nothing(language):
    assert language_aside(language) == ""


@pytest.mark.parametrize(
    ("language", "said"),
    [("French", "In French"), ("french", "In French"), ("nl, fr", "In Nl, fr"), ("Bengali", "In B")],
)
def test_a_sheet_in_another_language_is_to_be_asked_for(language, said):
    aside = language_aside(language)
    assert aside.startswith(said)
    assert aside.endswith(": ask the supplier for it in English.")


def test_lots_of_another_supplier_are_named_together():
    assert supplier_aside(["Tollgate Minerals"], LOTS) == (
        "Lots SI-21, SI-22 are of Northmoor Clay Supply, the sheet is by Tollgate Minerals: "
        "ask Northmoor Clay Supply for theirs."
    )


def test_a_lot_whose_supplier_has_a_sheet_of_its_own_says_nothing():
    assert supplier_aside(["Tollgate Minerals", "Northmoor Clay Supply"], LOTS) == ""


@pytest.mark.parametrize("written", ["tollgate  minerals", "Tollgate Minerals.", "TOLLGATE MINERALS"])
def test_a_name_written_a_little_otherwise_is_the_same_supplier(written):
    assert supplier_aside([written], LOTS[:1]) == ""
    assert supplier_aside(["Ebb & Furrow"], [("X", "Ebb and Furrow")]) == ""


def test_where_nobody_said_whose_it_is_nothing_is_said():
    assert supplier_aside([""], LOTS) == ""
    assert supplier_aside([], LOTS) == ""
    assert supplier_aside(["Tollgate Minerals"], [("X", ""), ("Y", " ")]) == ""
