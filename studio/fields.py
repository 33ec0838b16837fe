"""Form fields: what was typed at the bench becomes exact amounts, or a sentence beside the field."""

from collections.abc import Callable
from decimal import Decimal
from functools import cache
from typing import Any
from uuid import uuid4

from django import forms
from django.http import QueryDict

from studio.calc import units
from studio.calc.typed import Ambiguous, Candidate, TypedProblem, parse_decimal, sg_candidates, typed_back
from studio.tone import UNREADABLE, speak


class NumberInput(forms.TextInput):
    """A text field with the number keys: a locale-bound number field would eat a comma."""

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__({"inputmode": "decimal", "autocomplete": "off", **(attrs or {})})


class NumberField(forms.CharField):
    """A decimal number typed in any usual way, with its unit shown beside it.

    ``minimum`` and ``maximum`` are inclusive unless ``above`` (exclusive lower bound) is given.
    """

    def __init__(self, *, unit="", minimum=None, maximum=None, above=None, places=3, **kwargs) -> None:
        kwargs.setdefault("widget", NumberInput())
        kwargs.setdefault("max_length", 40)
        self.unit, self.places = unit, places
        self.minimum, self.maximum, self.above = (
            None if bound is None else Decimal(str(bound)) for bound in (minimum, maximum, above)
        )
        super().__init__(**kwargs)

    def clean(self, value):
        text = super().clean(value)
        if text in self.empty_values:
            return None
        number = read_number(text, self._fits)
        self._bounds(number)
        return number.quantize(Decimal(1).scaleb(-self.places))

    def prepare_value(self, value):
        # What the page fills in itself must read back as the same number.
        return typed_back(value) if isinstance(value, Decimal) else value

    def _fits(self, number: Decimal) -> bool:
        try:
            self._bounds(number)
        except forms.ValidationError:
            return False
        return True

    def _bounds(self, number: Decimal) -> None:
        if self.above is not None and number <= self.above:
            raise forms.ValidationError(
                f"This must be more than {plain(self.above)} {self.unit}".strip() + "."
            )
        if self.minimum is not None and number < self.minimum:
            raise forms.ValidationError(
                f"This must be at least {plain(self.minimum)} {self.unit}".strip() + "."
            )
        if self.maximum is not None and number > self.maximum:
            raise forms.ValidationError(
                f"This can be at most {plain(self.maximum)} {self.unit}".strip() + "."
            )


def read_number(text: str, fits: Callable[[Decimal], bool] | None = None) -> Decimal:
    """The number somebody typed, or a form error with the sentence for them.

    Of two readings of "1.135" the only one that ``fits`` the field is meant: no bucket weighs 1135 kg.
    """
    try:
        return parse_decimal(text)
    except Ambiguous as problem:
        fitting = [number for number in problem.readings if fits and fits(number)]
        if len(fitting) == 1:
            return fitting[0]
        raise forms.ValidationError(str(problem)) from problem
    except TypedProblem as problem:
        raise forms.ValidationError(str(problem)) from problem


def plain(number: Decimal) -> str:
    """A Decimal without trailing noughts or exponent."""
    return format(number.normalize(), "f")


class AmountWidget(forms.MultiWidget):
    template_name = "django/forms/widgets/multiwidget.html"

    def __init__(self, choices, base_unit: str) -> None:
        super().__init__([NumberInput(), forms.Select(choices=choices)])
        self.first_unit, self.base_unit = choices[0][0], base_unit

    def decompress(self, value):
        if value is None:
            return [None, self.first_unit]
        return [typed_back(Decimal(value)), self.base_unit]


class AmountField(forms.MultiValueField):
    """An amount with a unit chosen from a list. Cleans to grams or litres, three places.

    ``name_0`` carries the number, ``name_1`` the unit; in the API ``{"amount", "unit"}``.
    """

    choices: tuple[tuple[str, str], ...]
    base_unit: str

    def __init__(
        self, *, above: Any = 0, maximum: Any = None, first_unit: str | None = None, **kwargs
    ) -> None:
        self.above = None if above is None else Decimal(str(above))
        self.maximum = None if maximum is None else Decimal(str(maximum))
        choices = sorted(self.choices, key=lambda c: c[0] != (first_unit or self.base_unit))
        fields = (
            forms.CharField(max_length=40, required=kwargs.get("required", True)),
            forms.ChoiceField(choices=choices, required=kwargs.get("required", True)),
        )
        kwargs.setdefault("widget", AmountWidget(choices, self.base_unit))
        super().__init__(fields, require_all_fields=False, **kwargs)

    def __deepcopy__(self, memo):
        # Every form copies its fields. The halves of an amount are the same in all of them, and no form
        # changes them, so they are not copied again.
        return forms.Field.__deepcopy__(self, memo)

    def clean(self, value):
        # A unit without a number is an empty answer, not half of one.
        if isinstance(value, list | tuple) and value and value[0] in self.empty_values:
            value = ["", ""]
        return super().clean(value)

    def compress(self, data_list):
        if not data_list or data_list[0] in self.empty_values:
            return None
        unit = data_list[1] or self.base_unit
        number = read_number(data_list[0], lambda n: self._fits(self.to_base(n, unit)))
        amount = self.to_base(number, unit).quantize(Decimal("0.001"))
        if self.above is not None and amount <= self.above:
            raise forms.ValidationError(f"This must be more than {plain(self.above)} {self.base_unit}.")
        if self.maximum is not None and amount > self.maximum:
            raise forms.ValidationError(f"This can be at most {plain(self.maximum)} {self.base_unit}.")
        return amount

    def _fits(self, amount: Decimal) -> bool:
        over = self.maximum is not None and amount > self.maximum
        return not over and (self.above is None or amount > self.above)

    def to_base(self, number: Decimal, unit: str) -> Decimal:
        raise ValueError("use MassField or VolumeField")


class MassField(AmountField):
    """Grams out of g, kg, oz or lb. At most a tonne: more is a slip of the finger."""

    choices = units.MASS_UNITS
    base_unit = "g"

    def __init__(self, **kwargs) -> None:
        kwargs.setdefault("maximum", 1_000_000)
        super().__init__(**kwargs)

    def to_base(self, number, unit):
        return units.to_grams(amount=number, unit=unit)


class VolumeField(AmountField):
    """Litres out of L, mL, US gal or imperial gal. At most a thousand litres."""

    choices = units.VOLUME_UNITS
    base_unit = "L"

    def __init__(self, **kwargs) -> None:
        kwargs.setdefault("maximum", 1_000)
        super().__init__(**kwargs)

    def to_base(self, number, unit):
        return units.to_litres(amount=number, unit=unit)


NOUGHT, SHOWN_FOR_IT = "\0", "\ufffd"


class ReadableForm(forms.Form):
    """A form that never lets a nought byte through: no text holds one, and PostgreSQL keeps none.

    Whatever field it came in, and in what belongs to no field, too, a sign for "unreadable" takes its
    place before anything is looked up or kept; the field says so, and what else was typed stays.
    """

    def __init__(self, data: Any = None, *args: Any, **kwargs: Any) -> None:
        self.unreadable = {name for name in data or () if NOUGHT in name + _all(data, name)}
        if self.unreadable:
            data = _readable(data)
        super().__init__(data, *args, **kwargs)

    def _clean_fields(self) -> None:
        super()._clean_fields()
        for name in self.fields:
            if self.unreadable & {self.add_prefix(part) for part in (name, f"{name}_0", f"{name}_1")}:
                self._errors.pop(name, None)
                self.add_error(name, UNREADABLE)


def _values(data: Any, name: str) -> list[str]:
    return list(map(str, data.getlist(name) if hasattr(data, "getlist") else [data[name]]))


def _all(data: Any, name: str) -> str:
    return "".join(_values(data, name))


def _readable(data: Any) -> QueryDict:
    readable = QueryDict(mutable=True)
    for name in data:
        values = [value.replace(NOUGHT, SHOWN_FOR_IT) for value in _values(data, name)]
        readable.setlist(name.replace(NOUGHT, SHOWN_FOR_IT), values)
    return readable


class ActForm(ReadableForm):
    """A form that does one act. ``key`` makes a repeated sending harmless."""

    key = forms.UUIDField(
        widget=forms.HiddenInput,
        initial=uuid4,
        error_messages={
            "required": "This form lost its key. Open the page again.",
            "invalid": "This form lost its key. Open the page again.",
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        _let_speak(type(self))
        super().__init__(*args, **kwargs)

    def act_args(self) -> dict[str, Any]:
        """Arguments for the operation: the cleaned values by their names."""
        return dict(self.cleaned_data)

    def typed(self) -> str:
        """What was typed, as it was typed, for the row's ``raw``: "sg=1,45; depth_cm=8"."""
        said = []
        for name in self.fields:
            parts = [self.data.get(self.add_prefix(name))] + [
                self.data.get(self.add_prefix(f"{name}_{i}")) for i in (0, 1)
            ]
            text = " ".join(str(p) for p in parts if p not in (None, ""))
            if text and name != "key":
                said.append(f"{name}={text}")
        return "; ".join(said)

    def renew_key(self) -> None:
        """A fresh key for a form that is shown again after its old one was used up."""
        self.data = self.data.copy()
        self.data[self.add_prefix("key")] = str(uuid4())


@cache
def _let_speak(kind: type[ActForm]) -> None:
    """Once for each kind of form: its forms copy the fields with their sentences."""
    speak(kind.base_fields.values())  # type: ignore[attr-defined]


YOURS = ", as you meant the last time"


class SgFormMixin(forms.Form):
    """A specific gravity typed somehow: doubtful numbers are offered as candidates to pick from.

    Adds ``sg`` (what was typed) and ``sg_pick`` (which candidate was meant). ``cleaned_data["sg"]``
    is a Decimal with four places; ``candidates`` holds what the page offers.
    """

    sg = forms.CharField(label="Specific gravity", max_length=40, widget=NumberInput())
    sg_pick = forms.CharField(
        label="Which did you mean?", required=False, max_length=12, widget=forms.HiddenInput
    )
    candidates: list[Candidate] = []
    picked: Candidate | None = None
    theirs = ""  # the unit this person meant the last time: offered first, still to be picked

    def clean(self):
        cleaned = super().clean()
        text = cleaned.get("sg")
        if isinstance(text, str) and text:
            try:
                self.candidates = sg_candidates(text, theirs=self.theirs)
                cleaned["sg"] = self._picked(cleaned.get("sg_pick") or "")
            except TypedProblem as problem:
                self.add_error("sg", str(problem))
        cleaned.pop("sg_pick", None)
        return cleaned

    def _picked(self, pick: str) -> Decimal:
        if len(self.candidates) == 1 and self.candidates[0].sure:
            return self.candidates[0].sg.quantize(Decimal("0.0001"))
        for candidate in self.candidates:
            if pick == str(candidate.sg):
                self.picked = candidate
                return candidate.sg.quantize(Decimal("0.0001"))
        if not self.candidates:
            raise TypedProblem(
                "A glaze has a specific gravity between 1.00 and 2.20. What does the scale say?"
            )
        # The widget changes, not the field: the form has bound the field to its data already.
        choices = [(str(c.sg), f"{c.sg} – {c.how}{YOURS if c.theirs else ''}") for c in self.candidates]
        self.fields["sg_pick"].widget = forms.RadioSelect(choices=choices)
        raise TypedProblem(
            "That can be read in more than one way. Pick what you meant; nothing is saved yet."
        )
