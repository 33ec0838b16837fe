"""Rockpool on a 20 L pail, a 0.5 L cup and a 2 kg tub, measured on the page that came out.

Sizes: CLP Annex I Table 1.3 and Regulation (EU) 2024/2865, as "mixtures.md" 10 gives them (opened).
"""

from itertools import pairwise

import pytest
from django.conf import settings

from safety.labelling.builder import Wish, build
from safety.labelling.measure import lines
from safety.labelling.pieces import TooSmall
from safety.labelling.sheets import Grid
from tests.safety.label_rows import HAZARDS, cup, pail, printed, sheet_address, tub

# label, least page (short, long edge), least side of a pictogram, least height of an x, all mm
THREE = {
    "pail": (pail, (74, 105), 23, 1.8),
    "cup": (cup, (52, 74), 10, 1.2),
    "tub": (tub, (52, 74), 10, 1.4),
}
SAID = [
    *("Danger", "copper(II) carbonate hydroxide", "quartz, fine fraction"),
    *(text for _, text in (*HAZARDS["h"], *HAZARDS["p"], *HAZARDS["euh"])),
    *(code for code, _ in (*HAZARDS["h"], *HAZARDS["p"], *HAZARDS["euh"])),
    *HAZARDS["unknown_acute"],
    *HAZARDS["marks"],
    *(number for _, number in HAZARDS["sheets"]),
    *("Studio Vuurstraat", "+32 9 555 01 23", "112", "No leach test on record.", "K0012", "CLP"),
]


@pytest.fixture(scope="module")
def papers():
    return {name: printed([make()]) for name, (make, *_) in THREE.items()}


def bare(text: str) -> str:
    """Without blanks: lines break after a slash, too."""
    return text.replace(" ", "")


def text_of(paper) -> str:
    return " ".join(paper.text(page) for page in range(len(paper)))


@pytest.mark.parametrize("name", THREE)
def test_the_label_is_as_large_as_its_container_asks(papers, name):
    _, paper = papers[name]
    for page in range(len(paper)):
        short, long = sorted(paper.size(page))
        assert short >= THREE[name][1][0]
        assert long >= THREE[name][1][1] - 0.01


@pytest.mark.parametrize("name", THREE)
def test_no_letter_is_smaller_than_the_law_lets_it_be(papers, name):
    _, paper = papers[name]
    assert min(paper.x_height(page) for page in range(len(paper))) >= THREE[name][3]


@pytest.mark.parametrize("name", THREE)
def test_every_pictogram_has_its_side_on_the_first_label_beside_the_signal_word(papers, name):
    _, paper = papers[name]
    found = paper.diamonds(0)
    assert len(found) == 3
    assert min(one.side for one in found) >= THREE[name][2]
    assert "Danger" in paper.text(0)
    for left, right in pairwise(found):
        assert right.left - (left.left + left.side * 2**0.5) >= 1


@pytest.mark.parametrize("name", THREE)
def test_a_pictogram_covers_a_fifteenth_of_the_least_label(papers, name):
    _, paper = papers[name]
    (short, long), least_side = THREE[name][1], THREE[name][2]
    if least_side == 10:  # up to 3 L: at least 1 cm², 16 mm where it fits
        assert min(one.side for one in paper.diamonds(0)) ** 2 >= 100
    else:
        assert min(one.side for one in paper.diamonds(0)) ** 2 >= short * long / 15


@pytest.mark.parametrize("name", THREE)
def test_nothing_is_dropped_however_small_the_label(papers, name):
    said = bare(text_of(papers[name][1]))
    missing = [words for words in SAID if bare(words) not in said]
    assert not missing


@pytest.mark.parametrize("name", THREE)
def test_nothing_runs_over_the_edge_or_over_other_words(papers, name):
    job, paper = papers[name]
    assert len(paper) == len(job.pages)
    for page in range(len(paper)):
        wide, high = paper.size(page)
        for letter, left, top, right, bottom in paper.letters(page):
            assert min(left, top, wide - right, high - bottom) >= 2, letter


@pytest.mark.parametrize("name", THREE)
def test_words_and_pictograms_do_not_lie_on_each_other(papers, name):
    _, paper = papers[name]
    for one in paper.diamonds(0):
        middle = (one.left + one.side * 2**0.5 / 2, one.top + one.side * 2**0.5 / 2)
        for letter, left, top, right, bottom in paper.letters(0):
            away = abs((left + right) / 2 - middle[0]) + abs((top + bottom) / 2 - middle[1])
            assert away > one.side * 2**0.5 / 2, letter


@pytest.mark.parametrize("name", THREE)
def test_the_code_opens_this_serial(papers, name):
    _, paper = papers[name]
    serial = THREE[name][0]().serial
    assert f"{settings.STIRBOOK_URL}/l/{serial}/" in paper.codes(0)


def test_every_sheet_of_a_bucket_has_a_code_of_its_own(papers):
    _, paper = papers["pail"]
    codes = [code for page in range(len(paper)) for code in paper.codes(page)]
    assert sorted(code.rsplit("/", 2)[1] for code in codes if "/sheets/" in code) == ["14", "17", "21", "3"]


def test_a_tub_of_one_material_opens_its_sheet():
    hazards = {**HAZARDS, "sheets": [["Copper carbonate", "S021"]]}
    _, paper = printed([tub(hazards=hazards)])
    codes = [code for page in range(len(paper)) for code in paper.codes(page)]
    assert f"{settings.STIRBOOK_URL}/binder/sheets/21/" in codes


@pytest.mark.parametrize("name", THREE)
def test_the_builder_says_that_it_took_more_than_one_label(papers, name):
    job, paper = papers[name]
    (notes,) = job.notes.values()
    assert len(paper) > 1
    assert f"{len(paper)} of them belong together" in notes[0]
    for page in range(1, len(paper)):
        assert f"{page + 1} of {len(paper)}" in paper.text(page)
        assert THREE[name][0]().serial in paper.text(page)


def test_the_builder_says_when_pictograms_are_smaller_than_usual(papers):
    job, paper = papers["cup"]
    side = min(one.side for one in paper.diamonds(0))
    assert side < 16
    assert any("16 mm do not fit" in note for note in job.notes["Q4169"])


def test_little_said_is_one_label_with_large_pictograms():
    hazards = {
        **HAZARDS,
        "pictograms": ["GHS07"],
        "h": HAZARDS["h"][:1],
        "p": [],
        "euh": [],
        "unknown_acute": [],
        "marks": [],
        "supplier": {},
    }
    job, paper = printed([pail(hazards={**hazards, "sheets": []}, state="", sg_low="")])
    assert len(paper) == 1
    assert job.notes == {"Q4168": ()}
    assert paper.diamonds(0)[0].side >= 23


def test_a_fold_keeps_it_in_one_piece_with_a_line_to_fold_along():
    _, flat = printed([cup()])
    _, folded = printed([cup()], Wish(fold=True))
    assert len(folded) == 1
    assert folded.size(0)[1] == pytest.approx(74 * len(flat), abs=0.1)
    assert all(bare(words) in bare(folded.text(0)) for words in SAID)


def test_a_lid_strip_bears_the_same_serial_and_its_code():
    _, paper = printed([pail()], Wish(strips=True))
    last = len(paper) - 1
    assert "Lid: its body bears the same serial" in paper.text(last)
    assert "Q4168" in paper.text(last)
    assert paper.codes(last) == [f"{settings.STIRBOOK_URL}/l/Q4168/"]
    assert paper.size(last)[1] < 40


def test_a_cup_has_no_lid_and_no_strip():
    assert len(printed([cup()], Wish(strips=True))[1]) == len(printed([cup()])[1])


def test_a_stock_too_small_for_the_container_is_refused_with_the_least_that_will_do():
    with pytest.raises(TooSmall, match=r"Q4168, Rockpool: .* 70 × 37 mm; .* 74 × 105 mm at least"):
        printed([pail()], Wish(grid=Grid(paper="A4", width_mm=70, height_mm=37, columns=3, rows=8)))


def test_a_small_stock_that_cannot_hold_the_pictograms_is_refused_for_a_cup_too():
    with pytest.raises(TooSmall, match="does not hold name, code and pictograms together"):
        printed([cup()], Wish(grid=Grid(paper="roll", width_mm=60, height_mm=30)))


@pytest.mark.parametrize("words", ["Gläsern", "Ω" * 40, "W" * 120, "Rockpool " * 12])
def test_long_and_foreign_names_stay_inside(words):
    job, paper = printed([tub(title=words)], Wish(strips=True))
    assert len(paper) == len(job.pages)
    for page in range(len(paper)):
        wide, high = paper.size(page)
        for letter, left, top, right, bottom in paper.letters(page):
            assert min(left, top, wide - right, high - bottom) >= 1, letter


def test_markup_in_a_name_is_words():
    _, paper = printed([tub(title="<b>x</b><img src=/x>")])
    assert "<b>x</b><imgsrc=/x>" in bare(paper.text(0))


# --- no face with hardly anything on it


@pytest.mark.parametrize("marks", range(9))
@pytest.mark.parametrize("make", [cup, tub, pail])
def test_no_further_label_holds_next_to_nothing(make, marks):
    """Marks of a line each push what follows them on, line by line, past every break there is."""
    hazards = {**HAZARDS, "p": HAZARDS["p"][:2], "euh": [], "unknown_acute": [], "sheets": []}
    said = [f"Mark {number} of the things to know." for number in range(marks)]
    job = build([make(hazards={**hazards, "marks": said})], Wish(), sheet_address)
    faces = [item.face for page in job.pages for item in page.items]
    size, wide = job.pages[0].items[0].size, job.pages[0].width_mm
    rows = [sum(lines(b.text, size.text_mm, wide - 2 * size.pad_mm) for b in face.blocks) for face in faces]
    kept = {block.kind for block in faces[-2].blocks} if len(faces) > 1 else set()
    if len(faces) > 1 and not kept <= {"contains", "h"}:
        assert rows[-1] >= 3, rows
    told = " ".join(block.text for face in faces for block in face.blocks)
    assert all(words in told for words in (*said, "K0012", "Studio Vuurstraat", "No leach test on record."))
