"""Filters, tags and drawings, as sentences about what a person reads."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from types import SimpleNamespace as Row

import pytest
import time_machine
from django import forms
from django.template import Context, Template
from django.utils import timezone

from studio import charts, drawings, words
from studio.fields import MassField, NumberField, SgFormMixin

THIN, GAP = "\u202f", "\u00a0"
NOW = datetime(2026, 4, 6, 14, 0, tzinfo=UTC)


def shown(source: str, **context) -> str:
    return Template("{% load look %}" + source).render(Context({"units": "metric", **context}))


# --- numbers ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("source", "value", "text"),
    [
        # masses and litres of day_in_the_room.md A and C
        ("{{ x|grams }}", 7204, f"7{THIN}204{GAP}g"),
        ("{{ x|grams }}", Decimal("353.600"), f"353.6{GAP}g"),
        ("{{ x|grams }}", 12142.4, f"12{THIN}142.4{GAP}g"),
        ("{{ x|mass }}", 7204, f"7.204{GAP}kg"),
        ("{{ x|mass }}", Decimal("999.950"), f"1{THIN}000{GAP}g"),
        ("{{ x|mass }}", 25000, f"25{GAP}kg"),
        ("{{ x|mass }}", 412, f"412{GAP}g"),
        ("{{ x|litres }}", 8.162, f"8.16{GAP}L"),
        ("{{ x|litres }}", Decimal("0.653"), f"653{GAP}mL"),
        ("{{ x|litres }}", 15, f"15{GAP}L"),
        ("{{ x|about_litres }}", 15, f"15.0{GAP}L"),
        ("{{ x|sg }}", Decimal("1.4500"), "1.450"),
        ("{{ x|pct }}", 32.4, f"32.4{GAP}%"),
        ("{{ x|pct }}", Decimal("0.75"), f"0.75{GAP}%"),
        ("{{ x|number:1 }}", 12.04, "12"),
        ("{{ x|number:1 }}", 1234.56, f"1{THIN}234.6"),
        ("{{ x|money:'credits' }}", Decimal("24.8400"), f"24.84{GAP}credits"),
    ],
)
def test_a_number_reads_with_its_unit(source, value, text):
    assert shown(source, x=value) == text


@pytest.mark.parametrize("name", ["grams", "mass", "litres", "sg", "pct", "money", "signed", "number", "ago"])
def test_what_is_not_known_reads_as_a_dash(name):
    assert shown(f"{{{{ x|{name} }}}}", x=None) == "–"


def test_nought_is_a_number_not_a_dash():
    assert shown("{{ x|grams }}", x=0) == f"0{GAP}g"


@pytest.mark.parametrize(
    ("value", "text"),
    [(3, f"+3{GAP}g"), (-30, f"−30{GAP}g"), (0, f"0{GAP}g"), (Decimal("-0.0001"), f"0{GAP}g")],
)
def test_a_difference_has_a_plus_or_a_real_minus(value, text):
    assert shown("{{ x|signed:'g' }}", x=value) == text


def test_money_is_in_the_currency_of_the_studio(settings):
    settings.CURRENCY = "CHF"
    assert shown("{{ x|money }}", x=33.945) == f"33.95{GAP}CHF"


@pytest.mark.parametrize(
    ("source", "value", "text"),
    [
        # 1 lb = 453.59237 g, 1 US gal = 3.785411784 L, 1 imperial gal = 4.54609 L, by definition
        ("{{ x|mass:'us' }}", 7204, f"7.204{GAP}kg (15.9{GAP}lb)"),
        ("{{ x|mass:'imperial' }}", 453.59237, f"453.6{GAP}g (1.00{GAP}lb)"),
        ("{{ x|mass:'us' }}", 28.349523125, f"28.3{GAP}g (1.00{GAP}oz)"),
        ("{{ x|litres:'us' }}", 3.785411784, f"3.79{GAP}L (1.00{GAP}US{GAP}gal)"),
        ("{{ x|litres:'imperial' }}", 4.54609, f"4.55{GAP}L (1.00{GAP}imperial{GAP}gal)"),
        ("{{ x|litres:'us' }}", 0, f"0{GAP}mL (0{GAP}US{GAP}gal)"),
        ("{{ x|mass:'metric' }}", 7204, f"7.204{GAP}kg"),
        ("{{ x|mass:units }}", 7204, f"7.204{GAP}kg"),
    ],
)
def test_the_persons_own_units_stand_beside_the_metric_ones(source, value, text):
    assert shown(source, x=value) == text


def test_a_number_never_breaks_over_two_lines():
    for text in (words.grams(2760), words.mass(7204, "us"), words.litres(4.24), words.money(1234, "EUR")):
        number, _, _ = text.partition(" (")
        assert " " not in number


# --- times --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("back", "text"),
    [
        (timedelta(seconds=20), "just now"),
        (timedelta(minutes=26), f"26{GAP}min ago"),
        (timedelta(hours=3, minutes=50), f"3{GAP}h ago"),
        (timedelta(hours=20), "yesterday"),
        (timedelta(days=2), f"2{GAP}days ago"),
        (timedelta(days=9), f"9{GAP}days ago"),
        (timedelta(days=42), f"6{GAP}weeks ago"),
        (timedelta(days=400), "2 Mar 2025"),
        (-timedelta(minutes=20), "14:20"),
    ],
)
def test_an_age_reads_in_the_words_of_the_room(back, text):
    with time_machine.travel(NOW, tick=False):
        assert shown("{{ t|ago }}", t=NOW - back) == text


def test_a_clock_time_names_the_day_when_it_is_not_today():
    with time_machine.travel(NOW, tick=False):
        assert shown("{{ t|until }}", t=NOW + timedelta(minutes=20)) == "until 14:20"
        assert shown("{{ t|clock }}", t=NOW + timedelta(hours=19, minutes=10)) == "tomorrow 09:10"
        assert shown("{{ t|clock }}", t=NOW - timedelta(days=1)) == "yesterday 14:00"
        assert shown("{{ t|clock }}", t=NOW + timedelta(days=9)) == "15 Apr 14:00"
        assert shown("{{ t|clock }}", t=NOW - timedelta(days=400)) == "2 Mar 2025 14:00"


def test_times_are_told_in_the_studios_time_zone():
    with time_machine.travel(NOW, tick=False), timezone.override("Europe/Lisbon"):
        assert shown("{{ t|clock }}", t=NOW) == "15:00"


def test_when_carries_the_exact_time_for_machines_and_for_pointing():
    with time_machine.travel(NOW, tick=False):
        html = shown("{% when t %}", t=NOW - timedelta(minutes=26))
    assert 'datetime="2026-04-06T13:34+00:00"' in html
    assert 'title="6 Apr 2026 13:34"' in html
    assert f">26{GAP}min ago<" in html


# --- drawings -----------------------------------------------------------------------------------------


def test_every_icon_is_silent_beside_its_word_and_none_is_drawn_twice():
    drawn = [drawings.icon(name) for name in drawings.ICONS]
    assert all('aria-hidden="true"' in svg for svg in drawn)
    assert len(set(drawn)) == len(drawings.ICONS)


def test_the_four_answers_have_their_word_and_a_drawing_of_their_own():
    html = {answer: shown("{% state a %}", a=answer) for answer in drawings.ANSWERS}
    assert ">Stir first<" in html["stir first"]
    assert ">Do not use<" in html["do not use"]
    assert len({text.partition("<svg")[2].partition("</svg>")[0] for text in html.values()}) == 4


def test_a_dip_stick_says_its_depth_and_litres():
    html = shown('{% dipstick depth_cm=15 of_cm=35 litres=8.3 colour="#6f9aa0" %}')
    assert 'aria-label="dip stick: 15 cm deep of 35 cm, about 8.3 L"' in html
    assert 'fill="#6f9aa0"' in html


def test_a_dip_stick_is_wet_to_its_depth_and_no_further_than_its_ends():
    def surface(depth):
        return float(
            drawings.dipstick(depth_cm=depth, of_cm=30).split('class="level" d="M10 ')[1].split("H")[0]
        )

    assert surface(0) > surface(15) > surface(30)
    assert surface(15) - surface(30) == pytest.approx(surface(0) - surface(15), abs=0.11)
    assert surface(99) == surface(30)
    assert surface(-1) == surface(0)


def test_a_dip_stick_without_a_depth_is_dry_and_says_so():
    html = shown("{% dipstick %}")
    assert "depth not known" in html
    assert "level" not in html


@pytest.mark.parametrize("colour", ['"><script>', "red", "#fff", "#12345g", None])
def test_a_colour_that_is_not_six_digits_never_reaches_the_page(colour):
    html = shown("{% dipstick depth_cm=15 colour=c %}", c=colour)
    assert "fill=" not in html
    assert "script" not in html


def test_the_gravity_scale_says_value_doubt_and_window():
    html = shown("{% sg_scale sg=1.424 u=0.009 target=1.42 half=0.015 %}")
    assert 'aria-label="specific gravity 1.424 ± 0.009, window 1.405 to 1.435"' in html


def places(html: str, kind: str, attribute: str) -> list[float]:
    parts = html.split(f'class="{kind}"')[1:]
    return [float(part.split(f' {attribute}="')[1].split("%")[0]) for part in parts]


def test_the_gravity_scale_puts_the_value_where_it_stands_against_the_window():
    inside = drawings.sg_scale(sg=1.45, target=1.45, half=0.02)
    above = drawings.sg_scale(sg=1.52, u=0.004, target=1.45, half=0.02)
    (left,), (wide,) = places(inside, "window", "x"), places(inside, "window", "width")
    assert places(inside, "dot", "cx")[0] == pytest.approx(left + wide / 2, abs=0.02)
    assert places(above, "dot", "cx")[0] > sum(places(above, "window", a)[0] for a in ("x", "width"))
    assert all(0 <= x <= 100 for x in places(above, "dot", "cx") + places(above, "doubt", "x2"))


@pytest.mark.parametrize("sg", [0.998, 1.0, 1.45, 1.8, 2.2])
@pytest.mark.parametrize("target", [None, 1.45])
def test_the_gravity_scale_always_has_two_to_five_numbers(sg, target):
    html = drawings.sg_scale(sg=sg, target=target, half=0.02)
    assert 1 <= html.count("<text") <= 5


def test_without_a_gravity_or_a_target_there_is_no_scale():
    assert drawings.sg_scale(sg=None) == ""
    assert drawings.sg_scale(sg=1.45) != ""


def test_the_weeks_break_their_line_at_water_and_fill_the_dot_outside_the_window():
    day = timedelta(days=1)
    points = [(NOW - 9 * day, 1.42), (NOW - 6 * day, 1.44), (NOW - 3 * day, 1.41), (NOW, 1.42)]
    drawn = charts.sg_chart(
        points=points, events=[(NOW - 4 * day, "water 0.4 L")], target=1.42, half=0.015, now=NOW
    )
    assert drawn.count('class="line"') == 2
    assert drawn.count('class="dot"') == 3
    assert drawn.count('class="dot out"') == 1
    assert ">water 0.4 L<" in drawn
    assert f"4 readings: 1.420 9{GAP}days ago, 1.420 just now; window 1.405 to 1.435; 1 time" in drawn


def test_the_weeks_escape_what_was_typed_and_draw_nothing_without_a_reading():
    html = shown("{% sg_chart points=p events=e %}", p=[(NOW, 1.42)], e=[(NOW, "<b>gum & water")])
    assert "&lt;b&gt;gum &amp; water" in html
    assert "<b>" not in html
    assert shown("{% sg_chart points=p %}", p=[]) == ""


# --- the answer ---------------------------------------------------------------------------------------


def test_the_answer_comes_first_then_why_then_until_when():
    check = Row(
        answer="dip", reasons=(Row(code="inside", sentence="1.451, inside the window."),), holds_until=NOW
    )
    with time_machine.travel(NOW - timedelta(minutes=9), tick=False):
        html = shown("{% answer c %}", c=check)
    assert html.index("</span>Dip</h2>") < html.index("inside the window") < html.index("Holds until 14:00")
    assert 'data-until="2026-04-06T14:00:00+00:00"' in html


def test_only_dip_is_said_to_hold():
    check = Row(answer="stir first", reasons=["Settles in about 5 min."], holds_until=NOW)
    assert "Holds" not in shown("{% answer c %}", c=check)


def test_an_answer_escapes_what_a_member_wrote():
    html = shown("{% answer c %}", c=Row(answer="do not use", title="Do not use", sentence="Held: <b>specks"))
    assert "&lt;b&gt;specks" in html
    assert 'class="answer stop"' in html


# --- forms --------------------------------------------------------------------------------------------


class Sample(SgFormMixin, forms.Form):
    dry = MassField(label="Dry mass")
    depth = NumberField(label="Depth", unit="cm", help_text="Stir first.")
    way = forms.ChoiceField(
        label="Way", widget=forms.RadioSelect, choices=[("dip", "Dipped"), ("pour", "Poured")]
    )
    note = forms.CharField(label="Note", required=False)


def test_a_field_is_one_with_its_label_hint_and_unit():
    html = shown("{% field f.depth %}", f=Sample())
    assert '<label for="id_depth">Depth<span class="unseen"> in cm</span>' in html
    assert 'aria-describedby="id_depth_hint"' in html
    assert '<p class="hint" id="id_depth_hint">Stir first.</p>' in html
    assert '<span class="unit" aria-hidden="true">cm</span>' in html
    assert "aria-invalid" not in html


def test_an_amount_has_its_unit_beside_it_and_both_have_a_name():
    html = shown("{% field f.dry %}", f=Sample())
    assert '<label for="id_dry_0">Dry mass</label>' in html
    assert 'id="id_dry_0"' in html
    assert 'aria-label="unit of Dry mass"' in html
    assert html.index('name="dry_0"') < html.index('name="dry_1"')


def test_a_refused_field_keeps_what_was_typed_and_says_why_beside_it():
    form = Sample({"dry_0": "plenty", "dry_1": "kg", "depth": "-3 <b>", "way": "dip", "sg": "1.45"})
    html = shown("{% form_errors f %}{% field f.dry %}{% field f.depth %}", f=form)
    assert 'value="plenty"' in html
    assert '<option value="kg" selected>' in html
    assert 'value="-3 &lt;b&gt;"' in html
    assert 'aria-describedby="id_depth_hint id_depth_error"' in html
    assert html.count('class="error"') == 2
    assert '<a href="#id_dry_0">Dry mass</a>' in html
    assert "2 things to put right" in html


def test_choices_are_a_group_with_a_legend_and_each_a_target():
    html = shown("{% field f.way %}", f=Sample({}))
    assert "<legend>Way</legend>" in html
    assert html.count('class="choice"') == 2
    assert 'aria-describedby=" id_way_error"' in html


def test_an_unclear_gravity_offers_what_it_may_have_meant():
    form = Sample({"sg": "14.5", "dry_0": "1", "dry_1": "kg", "depth": "3", "way": "dip"})
    form.is_valid()
    html = shown("{% field f.sg %}{% field f.sg_pick %}", f=form)
    assert 'value="14.5"' in html
    assert "Which did you mean?" in html
    assert 'type="radio" name="sg_pick"' in html


def test_a_hidden_field_stays_hidden_and_an_optional_one_says_so():
    assert (
        shown("{% field f.sg_pick %}", f=Sample()).strip()
        == '<input type="hidden" name="sg_pick" id="id_sg_pick">'
    )
    assert '<span class="optional">(optional)</span>' in shown("{% field f.note %}", f=Sample())
    assert "optional" not in shown("{% field f.depth %}", f=Sample())


def test_what_concerns_the_whole_form_is_said_above_it():
    form = Sample({"dry_0": "1", "dry_1": "kg", "depth": "3", "way": "dip", "sg": "1.45"})
    form.add_error(None, "B05 was emptied at 14:05.")
    html = shown("{% form_errors f %}", f=form)
    assert "B05 was emptied at 14:05." in html
    assert "to put right" not in html
    assert 'role="alert"' in html
