"""The stylesheet itself: contrast of every pair it uses, and nothing that the look forbids."""

import re
from pathlib import Path

import pytest
from django.conf import settings

CSS = Path(settings.ROOT / "studio/static/studio/app.css").read_text()
RULES = re.sub(r"/\*.*?\*/", "", CSS, flags=re.S)
TOKEN_BLOCK = re.compile(r":root\s*\{(.*?)\}", re.S)
HEX = r"#[0-9a-f]{6}"

TEXT = [
    *((word, ground) for word in ("ink", "soft", "act", "stop") for ground in ("paper", "card", "quiet")),
    ("stop", "stop-pale"),
    ("stop-on", "stop-fill"),
    ("stop-fill", "stop-on"),
    ("act-on", "act"),
    ("act-on", "act-press"),
    ("paper", "ink"),
]
GRAPHICS = [
    *(("edge", ground) for ground in ("paper", "card", "quiet")),
    *(("act", ground) for ground in ("paper", "card")),  # focus ring, outlines, place in the bar
    ("stop", "paper"),
    ("stop-on", "stop-fill"),  # focus ring on the red page
]


def tokens() -> dict[str, dict[str, str]]:
    """Colours by scheme; dark and print change what they name and keep the rest of light."""
    light, dark, ink_on_white = (
        dict(re.findall(rf"--([a-z-]+):\s*({HEX})", block)) for block in TOKEN_BLOCK.findall(RULES)[:3]
    )
    return {"light": light, "dark": light | dark, "print": light | ink_on_white}


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_reckoned_as_published():
    # WCAG 2.2: black on white is 21; #777777 on white 4.48, just too little (from memory)
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_every_text_can_be_read_on_every_ground_it_stands_on(scheme):
    colours = tokens()[scheme]
    weak = {pair: round(contrast(colours[pair[0]], colours[pair[1]]), 2) for pair in TEXT}
    assert {pair: value for pair, value in weak.items() if value < 4.5} == {}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_outline_and_drawing_stands_out(scheme):
    colours = tokens()[scheme]
    weak = {pair: round(contrast(colours[pair[0]], colours[pair[1]]), 2) for pair in GRAPHICS}
    assert {pair: value for pair, value in weak.items() if value < 3} == {}


def test_colours_come_from_the_tokens_only():
    rest = TOKEN_BLOCK.sub("", RULES)
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b", rest) == []
    assert re.findall(r"\b(?:rgba?|hsla?|oklch)\(", rest) == []


def test_dark_changes_every_colour_but_the_glazes():
    schemes = tokens()
    same = {name for name in schemes["light"] if schemes["light"][name] == schemes["dark"][name]}
    assert same == {"glaze", "stop-on"}


def test_every_token_used_is_set():
    used = set(re.findall(r"var\(--([a-z-]+)", RULES))
    assert used <= set(re.findall(r"--([a-z-]+):", RULES))


def test_no_shadow_is_cast_and_nothing_is_fetched_from_elsewhere():
    assert "://" not in RULES
    shadows = re.findall(r"box-shadow:\s*([^;}]+)", RULES)
    assert all(shadow.startswith("inset") for shadow in shadows)
    assert "text-shadow" not in RULES


def test_the_typeface_is_served_by_us_with_its_licence():
    fonts = settings.ROOT / "studio/static/studio/fonts"
    for name in re.findall(r'url\("fonts/([^"]+)"\)', CSS):
        assert (fonts / name).read_bytes()[:4] == b"wOF2"
    assert "SIL OPEN FONT LICENSE" in (fonts / "OFL.txt").read_text()
