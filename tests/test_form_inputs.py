"""Inputs written at once read as the framework's own templates write them."""

import re

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils.safestring import SafeString

from studio.form_inputs import Inputs

CHOICES = [("g", "grams"), ("<b>", 'by "the" cup & spoon'), ("Heavy", [("kg", "kilograms"), (7, "lb")])]
ATTRS = {"id": "x", "required": True, "disabled": False, "title": 'a "b" <c>', "data-n": 3}


def bare(html: str) -> str:
    """Without white space between elements, which nobody sees."""
    return re.sub(r">\s+<", "><", html.strip())


def both(widget: forms.Widget, value, attrs=None) -> tuple[str, str]:
    ours, theirs = (widget.render("a&b", value, attrs, renderer()) for renderer in (Inputs, DjangoTemplates))
    return bare(ours), bare(theirs)


@pytest.mark.parametrize(
    "widget",
    [
        forms.TextInput({"inputmode": "decimal"}),
        forms.HiddenInput(),
        forms.NumberInput(),
        forms.DateInput({"type": "date"}),
        forms.EmailInput(),
        forms.PasswordInput(render_value=True),
    ],
    ids=lambda widget: type(widget).__name__,
)
@pytest.mark.parametrize("value", [None, "", 0, "1,45", '"><script>alert(1)</script>', SafeString("&amp;")])
def test_an_input(widget, value):
    ours, theirs = both(widget, value, ATTRS)
    assert ours.startswith("<input type=")
    assert ours == theirs


@pytest.mark.parametrize("value", [None, "g", "<b>", 7, "none of them"])
def test_a_list_to_choose_from(value):
    ours, theirs = both(forms.Select(choices=CHOICES), value, ATTRS)
    assert ours.count("<option") == 4
    assert ours == theirs


def test_a_list_of_several():
    ours, theirs = both(forms.SelectMultiple(choices=CHOICES), ["g", "kg"])
    assert ours.count("selected") == 2
    assert ours == theirs


@pytest.mark.parametrize(
    "widget", [forms.CheckboxInput(), forms.Textarea(), forms.RadioSelect(choices=CHOICES)]
)
def test_what_is_not_plain_stays_with_the_framework(widget):
    ours, theirs = both(widget, "g")
    assert ours == theirs
