"""Lines as people write them. The manners of writing are common practice, no source."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.recipes.calc import notebook
from studio.recipes.calc.notebook import read_line, read_notebook


def read(text: str) -> list[tuple[str, str, str]]:
    return [(r.name, str(r.parts.normalize().__format__("f")), r.unit) for r in read_line(text).readings]


@pytest.mark.parametrize(
    ("text", "name", "parts", "unit"),
    [
        ("Soda feldspar 22", "Soda feldspar", "22", ""),
        ("22 Soda feldspar", "Soda feldspar", "22", ""),
        ("22 % Soda feldspar", "Soda feldspar", "22", "%"),
        ("22% Soda feldspar", "Soda feldspar", "22", "%"),
        ("Soda feldspar 22 %", "Soda feldspar", "22", "%"),
        ("Silica 113,5 g", "Silica", "113.5", "g"),
        ("1 113,5 g Silica", "Silica", "1113.5", "g"),
        ("Silica\t22", "Silica", "22", ""),
        ("Silica;22;%", "Silica", "22", "%"),
        ("Silica: 22", "Silica", "22", ""),
        ("Silica:22", "Silica", "22", ""),
        ("Silica = 22", "Silica", "22", ""),
        ("Silica, 22", "Silica", "22", ""),
        ("Silica – 22", "Silica", "22", ""),
        ("Silica ....... 22", "Silica", "22", ""),
        ("- Silica 22", "Silica", "22", ""),
        ("+ Tin oxide 3", "Tin oxide", "3", ""),
        ("Tin oxide +3", "Tin oxide", "3", ""),
        ("Tin oxide + 3", "Tin oxide", "3", ""),
        ("Frit L 14", "Frit L", "14", ""),
        ("14 Frit L", "Frit L", "14", ""),
        ("22 Frit 3", "Frit 3", "22", ""),
        ("Frit 3: 120", "Frit 3", "120", ""),
        ("Bone ash, synthetic 7", "Bone ash, synthetic", "7", ""),
        ("Silica\u00a0\u00a022", "Silica", "22", ""),
        ("Silica 0.75 parts", "Silica", "0.75", "parts"),
        ("Kaolin 1,5 kg", "Kaolin", "1500", "g"),
        ("Kaolin 2 oz", "Kaolin", "56.699", "g"),  # 2 x 28.349523125 g, four places
        ("Silica ٢٢", "Silica", "22", ""),
    ],
)
def test_a_line_is_read(text, name, parts, unit):
    assert read(text) == [(name, parts, unit)]
    assert read_line(text).problem == ""


@pytest.mark.parametrize(
    ("text", "ways"),
    [
        ("Frit 3 120", [("Frit 3", "120", ""), ("Frit", "3120", "")]),
        ("Silica 1 113,5 g", [("Silica 1", "113.5", "g"), ("Silica", "1113.5", "g")]),
    ],
)
def test_a_number_in_a_name_gives_two_readings(text, ways):
    assert read(text) == ways


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("Silica", notebook.NO_AMOUNT),
        ("Silica NaN", notebook.NO_AMOUNT),
        ("Silica inf", notebook.NO_AMOUNT),
        ("Silica 1e3", notebook.NO_AMOUNT),
        ("22", notebook.NO_NAME),
        ("=1+2", notebook.NO_NAME),
        ("Silica -22", notebook.NOT_BELOW),
        ("Silica - 22", notebook.NOT_BELOW),
        ("Silica 0", notebook.NOT_NOUGHT),
        ("Silica 0,000", notebook.NOT_NOUGHT),
        ("Silica 1.23456", notebook.TOO_FINE),
        ("Silica 1000001", notebook.TOO_MUCH),
        ("Silica 1001 kg", notebook.TOO_MUCH),
        ("Silica 1234567890123456", "This number is too long: at most 15 digits."),
        ("Silica 22,", "This number stops at its comma or point. Type what comes after it, or leave it out."),
        ("S" * 81 + " 22", notebook.NAME_TOO_LONG),
        ("Silica " + "1 " * 200, notebook.LINE_TOO_LONG),
    ],
)
def test_a_line_that_is_no_line_says_why(text, problem):
    assert read_line(text).problem == problem


@pytest.mark.parametrize(
    "text",
    ["1 cup Silica", "Silica 2 tbsp", "Silica 3 teaspoons", "8 fl oz Silica", "Silica 0,5 L", "Silica 3ml"],
)
def test_a_volume_of_powder_is_refused(text):
    assert "is a volume, and powder lies looser or tighter every time" in read_line(text).problem


def test_one_separator_before_three_digits_is_asked_about():
    assert read_line("Silica 1,450").problem == (
        "This can be read as 1.45 or as 1450. Which one is it? Type 1.45 or 1450."
    )
    assert read_line("Silica 1450").problem == ""


def test_a_stated_total_is_no_material():
    line = read_line("Total: 98,7")
    assert line.is_total
    assert line.readings[0].parts == Decimal("98.7")


def test_blank_lines_count_but_are_left_out():
    lines = read_notebook("Silica 22\n\n   \nKaolin 10\n")
    assert [(line.number, line.text) for line in lines] == [(1, "Silica 22"), (4, "Kaolin 10")]


@given(st.text(max_size=120))
def test_no_text_breaks_the_reader(text):
    """Law: every line that is not blank has a reading or a sentence, and never an amount out of range."""
    for line in read_notebook(text):
        assert line.readings or line.problem
        for reading in line.readings:
            assert reading.problem or 0 < reading.parts <= notebook.MOST_PARTS


@given(
    st.from_regex(r"[A-Z][a-z]{2,9}( [a-z]{3,9})?", fullmatch=True),
    st.decimals("0.0001", "9999", places=4).map(lambda d: d.normalize()),
    st.booleans(),
)
def test_name_and_amount_come_back_in_either_order(name, parts, amount_first):
    """Law: what was written with a colon is what is read, unless a thousands mark is possible."""
    number = f"{parts:f}"
    text = f"{number} : {name}" if amount_first else f"{name}: {number}"
    line = read_line(text)
    if line.is_total or "Which one is it?" in line.problem:
        return
    assert [(r.name, r.parts) for r in line.readings] == [(name, parts)]
