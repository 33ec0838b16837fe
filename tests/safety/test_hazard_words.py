"""Statements as labels print them: nothing left open, nothing claimed."""

import re

import pytest

from safety.calc import precautions
from safety.labelling.hazard_part import in_order, sentence, unknown_acute
from safety.labelling.measure import lines, width_mm
from safety.statements import statement

SLOTS = {
    *("P201", "P260", "P261", "P280", "P273", "P270", "P264", "P501"),
    *(response for _, response in precautions._RESPONSES),
}
H_CODES = [
    *("H300", "H301", "H302", "H310", "H311", "H312", "H314", "H315", "H317", "H318", "H319", "H330", "H331"),
    *("H332", "H334", "H335", "H336", "H340", "H341", "H350", "H350i", "H351", "H360", "H360FD", "H361"),
    *("H362", "H370", "H371", "H372", "H373", "H400", "H410", "H411", "H412", "H413"),
]


@pytest.mark.parametrize("wording", ["CLP", "GHS"])
@pytest.mark.parametrize("code", sorted(SLOTS) + H_CODES)
def test_no_statement_leaves_a_choice_or_a_gap_open(code, wording):
    said = sentence(statement(code, wording).text, code, {})
    assert not re.search(r"[…<>\[\]]|  |\.\.", said), said
    assert re.fullmatch(r"[A-Z].*[.:]", said), said


def test_what_is_known_is_put_in():
    organs = sentence(statement("H372").text, "H372", {"organs": {"H372": ["lungs"]}})
    assert organs == "Causes damage to organs (lungs) through prolonged or repeated exposure."
    named = sentence(statement("EUH208").text, "EUH208", {"euh208_names": ["cobalt carbonate"]})
    assert named == "Contains cobalt carbonate. May produce an allergic reaction."
    assert "dust or spray" in sentence(statement("P260").text, "P260", {})


def test_pictograms_stand_in_order_and_a_skull_takes_the_exclamation_mark_s_place():
    assert in_order(["GHS09", "GHS07", "GHS08", "GHS05"]) == ["GHS08", "GHS05", "GHS07", "GHS09"]
    assert in_order(["GHS07", "GHS06"]) == ["GHS06"]
    assert in_order(["GHS02", "GHS03", "nothing"]) == ["GHS03", "GHS02"]


def test_unknown_acute_toxicity_is_told_from_one_per_cent_and_by_route():
    assert unknown_acute({"oral": "0.99"}) == []
    (said,) = unknown_acute({"oral": "4.2", "dermal": "0", "inhal_dust": "4.2"})
    assert said.startswith(
        "4 % of the mixture consists of ingredients of unknown acute toxicity (if swallowed,"
    )
    (all_of_it,) = unknown_acute({"oral": "100", "dermal": "100", "inhal_dust": "100"})
    assert all_of_it == "100 % of the mixture consists of ingredients of unknown acute toxicity."


def test_widths_kept_are_those_of_the_font_that_is_printed(settings):
    from fontTools.ttLib import TTFont
    from fontTools.varLib.instancer import instantiateVariableFont

    fonts = settings.ROOT / "studio" / "static" / "studio" / "fonts"
    for bold, weight in ((False, 400), (True, 700)):
        font = instantiateVariableFont(TTFont(fonts / "atkinson-next-latin.woff2"), {"wght": weight})
        glyphs, widths = font.getBestCmap(), font["hmtx"]
        for letter in "aAgWmi0159 .,/ü+":
            kept = width_mm(letter, 1000, bold=bold) / 1.03
            assert kept == pytest.approx(widths[glyphs[ord(letter)]][0], abs=1.5), letter
    assert TTFont(fonts / "atkinson-next-latin.woff2")["OS/2"].sxHeight == 496


def test_lines_break_at_blanks_and_a_long_word_is_cut():
    assert lines("one two", 3, 100) == 1
    assert lines("one two", 3, width_mm("one two", 3) - 0.1) == 2
    assert lines("W" * 40, 3, width_mm("W" * 10, 3)) == 4
    assert lines("", 3, 50) == 1
