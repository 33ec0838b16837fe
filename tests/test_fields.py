"""Form fields: what was typed becomes one exact amount, what the page fills in reads back as the same."""

from decimal import Decimal

import pytest
from django import forms

from studio.fields import MassField, NumberField, VolumeField


class Sample(forms.Form):
    weight = MassField(first_unit="kg", maximum=50_000, required=False)
    pot = MassField(required=False)
    water_l = VolumeField(required=False)
    size_cm = NumberField(unit="cm", above=0, maximum=200, required=False)
    share = NumberField(unit="%", minimum=0, required=False)


def cleaned(**typed: str) -> dict:
    form = Sample(typed)
    assert form.is_valid(), form.errors
    return form.cleaned_data


def refused(**typed: str) -> dict[str, list[str]]:
    form = Sample(typed)
    assert not form.is_valid()
    return {name: list(errors) for name, errors in form.errors.items()}


@pytest.mark.parametrize(
    ("typed", "unit", "grams"),
    [
        ("1.135", "kg", "1135"),  # 1135 kg is over what the field takes: one reading is left
        ("1,135", "kg", "1135"),
        ("1,135.5", "g", "1135.5"),
        ("22", "lb", "9979.032"),  # 453.59237 g exactly, by definition; rounded to a milligram
        ("0.5", "oz", "14.175"),
    ],
)
def test_an_amount_is_read_with_its_unit(typed, unit, grams):
    assert cleaned(weight_0=typed, weight_1=unit)["weight"] == Decimal(grams)


def test_both_readings_possible_is_asked_about():
    assert "Which one is it?" in refused(pot_0="1,135", pot_1="g")["pot"][0]
    assert "Which one is it?" in refused(share="1.135")["share"][0]


def test_a_size_that_only_reads_one_way_is_taken():
    assert cleaned(size_cm="28.800")["size_cm"] == Decimal("28.8")
    assert cleaned(water_l_0="1.135", water_l_1="L")["water_l"] == Decimal("1.135")


def test_an_amount_filled_in_by_the_page_is_in_its_own_unit():
    """1135 grams stay grams, though the field offers kg first."""
    form = Sample(initial={"weight": Decimal(1135)})
    assert 'value="1135"' in str(form["weight"])
    assert '<option value="g" selected>' in str(form["weight"])
    assert '<option value="kg" selected>' in str(Sample()["weight"])


@pytest.mark.parametrize("kept", ["1.125", "0.625", "1125", "12.5", "100", "1234.567"])
def test_what_the_page_fills_in_reads_back_as_the_same(kept):
    form = Sample(initial={"share": Decimal(kept), "pot": Decimal(kept)})
    share = form["share"].value()
    pot, unit = form.fields["pot"].widget.decompress(Decimal(kept))
    again = cleaned(share=form.fields["share"].prepare_value(share), pot_0=pot, pot_1=unit)
    assert (again["share"], again["pot"]) == (Decimal(kept), Decimal(kept))
