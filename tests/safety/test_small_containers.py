"""Very small containers under US law: the short label, the name alone, and the full one for the package.

29 CFR 1910.1200(f)(12) (mixtures.md 10, opened). The tub of "label_rows.py" with other capacities.
"""

import pytest

from safety.labelling.builder import Wish, build
from safety.labelling.sheets import Grid
from tests.safety.label_rows import HAZARDS, printed, sheet_address, tub
from tests.safety.test_label_print import SAID, bare

US = {**HAZARDS, "law": "US"}
LITTLE = {
    **US,
    "h": US["h"][:1],
    "pictograms": [],
    "rules": "HCS 2024",
    "identifiers": ["quartz"],
    "supplier": {},
    **{name: [] for name in ("p", "euh", "unknown_acute", "marks", "sheets")},
}
RULE = "29 CFR 1910.1200(f)(12)"


def us(capacity_l, hazards=US):
    return tub(hazards=hazards, capacity_l=capacity_l)


def job_of(label, wish=None):
    return build([label], wish or Wish(), sheet_address)


def notes_of(job):
    return " ".join(job.notes["Q4170"])


def kinds(job):
    return [item.face.kind for page in job.pages for item in page.items]


@pytest.fixture(scope="module")
def whole():
    """How many labels it takes in full."""
    return len(job_of(us("0.2")).pages)


def test_up_to_100_ml_the_short_label_stands_before_the_full_one(whole):
    _, paper = printed([us("0.1")])
    assert len(paper) == whole + 1
    for words in ("Rockpool, dry", "Danger", "Studio Vuurstraat, +32 9 555 01 23", "outer package: Q4170"):
        assert words in paper.text(0), words
    assert len(paper.diamonds(0)) == 3
    assert "H302" not in paper.text(0)
    said = bare(" ".join(paper.text(page) for page in range(1, len(paper))))
    assert not [words for words in SAID if bare(words) not in said]


def test_the_builder_says_which_rule_it_went_by(whole):
    said = notes_of(job_of(us("0.1")))
    assert f"By {RULE}, up to 100 mL: where no pull-out or fold of the full label works" in said
    assert f"its outer package the full one, {whole} labels." in said
    assert "3 mL" not in said


def test_above_100_ml_and_under_other_law_the_full_label_stands_alone(whole):
    for label in (us("0.101"), tub(capacity_l="0.1"), tub(capacity_l="0.002")):
        job = job_of(label)
        assert len(job.pages) == whole
        assert RULE not in notes_of(job)


def test_where_the_full_label_fits_on_one_there_is_no_short_one():
    job = job_of(us("0.1", LITTLE))
    assert kinds(job) == ["label"]
    assert RULE not in notes_of(job)


def test_a_fold_that_works_leaves_the_short_label_out(whole):
    job = job_of(us("0.1"), Wish(fold=True))
    assert len(job.pages) == 1
    assert kinds(job) == ["label"] * whole
    assert f"A fold works, so the container bears the full label: the short one of {RULE}" in notes_of(job)


def test_on_sheets_nothing_is_folded_and_the_short_label_stands(whole):
    grid = Grid(paper="A4", width_mm=62, height_mm=74, columns=3, rows=3)
    assert len(kinds(job_of(us("0.1"), Wish(fold=True, grid=grid)))) == whole + 1


def test_up_to_3_ml_a_strip_bears_the_name_alone_with_its_serial(whole):
    _, paper = printed([us("0.003")])
    assert len(paper) == whole + 2
    assert bare(paper.text(0)) == bare("Rockpool, dry Q4170")
    assert paper.diamonds(0) == []
    wide, high = paper.size(0)
    assert high < 20
    for letter, left, top, right, bottom in paper.letters(0):
        assert min(left, top, wide - right, high - bottom) >= 1, letter
    assert paper.x_height(0) >= 1.2  # as every label up to 0.5 L
    assert "Danger" in paper.text(1)


def test_up_to_3_ml_the_builder_says_when_the_name_is_enough_and_when_not():
    said = notes_of(job_of(us("0.003")))
    assert f"By {RULE}, up to 3 mL: where a label would be in the way" in said
    assert "else the short label" in said
    assert "up to 100 mL" in said
    little = job_of(us("0.003", LITTLE))
    assert kinds(little) == ["name", "label"]
    assert "else the full label; its outer package bears the full one, one label." in notes_of(little)


@pytest.mark.parametrize("name", ["W" * 90, "Rockpool " * 12])
def test_a_long_name_stays_on_its_strip(name):
    _, paper = printed([tub(hazards=US, capacity_l="0.003", title=name)])
    wide, high = paper.size(0)
    for letter, left, top, right, bottom in paper.letters(0):
        assert min(left, top, wide - right, high - bottom) >= 1, letter
