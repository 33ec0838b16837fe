from typing import Any

from django import forms
from django.conf import settings
from django.core.validators import RegexValidator

from studio.fields import MassField, NumberField
from studio.materials.models import Lot, Material
from studio.materials.operations.stock import LOT_CODE
from studio.room.forms.kept import AskingForm, KeptForm

HAZARD_HINT = "As far as you know: silica dust, toxic, stains, low. The safety data sheet decides."


class DateInput(forms.DateInput):
    """The browser's own calendar; typed as 2026-04-06 where it has none."""

    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


def day(label: str, **kwargs: Any) -> forms.DateField:
    """A day, from the calendar or typed."""
    wrong = {"invalid": "This is not a date. Type it like 2026-04-06."}
    return forms.DateField(label=label, widget=DateInput(), error_messages=wrong, **kwargs)


def price(label: str = "Price per kilogram", **kwargs: Any) -> NumberField:
    """Money per kg, to four places; more than 100 000 is a slip of the finger."""
    unit = f"{settings.CURRENCY} per kg"
    return NumberField(label=label, unit=unit, minimum=0, maximum=100_000, places=4, **kwargs)


def lot_code(**kwargs: Any) -> forms.CharField:
    wrong = "At most 20 letters, digits, points and dashes, like PF-12."
    fit = RegexValidator(f"^{LOT_CODE}$", wrong)
    return forms.CharField(label="Lot code", max_length=20, required=False, validators=[fit], **kwargs)


class NamesField(forms.CharField):
    """Several names, one a line or with semicolons between. Cleans to a list; a comma belongs to a name."""

    sent_as = list  # in the API

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=forms.Textarea(attrs={"rows": 3}), max_length=1000, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(value) if isinstance(value, list) else value

    def clean(self, value: Any) -> list[str]:
        text = super().clean(value) or ""
        names = [" ".join(name.split()) for name in text.replace(";", "\n").splitlines()]
        names = [name for name in names if name]
        if long := [name for name in names if len(name) > 80]:
            raise forms.ValidationError(f"A name has at most 80 letters; this one has {len(long[0])}.")
        if len(names) > 20:
            raise forms.ValidationError("At most 20 other names.")
        return names


class DetailsForm(KeptForm):
    """What is known of a material, whatever is there of it."""

    name = forms.CharField(label="Name", max_length=80)
    aliases = NamesField(
        label="Other names", help_text="As recipes and bags spell it. One a line.", required=False
    )
    role = forms.ChoiceField(
        label="What is it in a glaze?",
        choices=Material.Role.choices,
        initial=Material.Role.PLAIN,
        widget=forms.RadioSelect,
        help_text="Colourants and opacifiers are weighed to a narrower band.",
    )
    hazard_words = forms.CharField(
        label="Hazard words", help_text=HAZARD_HINT, max_length=200, required=False
    )
    soluble = forms.BooleanField(
        label="Dissolves in the glaze water",
        help_text="Wholly or partly: then water is never poured off the glaze.",
        required=False,
    )
    density = NumberField(
        label="Density of its particles",
        help_text="Left empty, it is looked up by name; if it is not there, 2.6 is taken and marked assumed.",
        unit="g/mL",
        above=1,
        maximum=12,
        required=False,
    )
    density_source = forms.CharField(
        label="Where the density comes from",
        help_text="Data sheet, own measurement.",
        max_length=200,
        required=False,
    )


class NewMaterialForm(DetailsForm):
    """A material with what is there of it now, as one sitting sets a room up."""

    opening_g = MassField(
        label="There now",
        help_text="What is on the shelf today. Leave empty if none is.",
        required=False,
        first_unit="kg",
    )
    opening_price_per_kg = price(required=False)
    lot_code = lot_code(help_text="As you write it on the bag. Left empty, it gets the next code of its own.")
    supplier = forms.CharField(label="Supplier", max_length=80, required=False)
    received_on = day("Came on", help_text="Left empty: today.", required=False)


class AliasForm(KeptForm):
    """One more name."""

    name = forms.CharField(label="It is also called", max_length=80)


class EndForm(KeptForm):
    """Why a material is not bought any more."""

    reason = forms.CharField(label="Why? (for whoever asks later)", max_length=200, required=False)


class ReceiveForm(AskingForm):
    """A delivery. Unlikely amounts and prices are asked about before they are written."""

    mass_g = MassField(
        label="Amount", help_text="All bags of this lot together.", first_unit="kg", maximum=10_000_000
    )
    price_per_kg = price()
    code = lot_code(help_text="As you write it on the bag. Left empty, it gets the next code of its own.")
    supplier = forms.CharField(label="Supplier", max_length=80, required=False)
    supplier_lot = forms.CharField(
        label="Supplier's own number", help_text="Lot or delivery note.", max_length=40, required=False
    )
    received_on = day("Came on", help_text="Left empty: today.", required=False)
    state = forms.ChoiceField(
        label="May it be used at once?",
        choices=[
            (Lot.State.QUARANTINE, "No: quarantine, until a test tile is fired"),
            (Lot.State.RELEASED, "Yes: released"),
        ],
        initial=Lot.State.QUARANTINE,
        widget=forms.RadioSelect,
    )
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, material: Material | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.material = material

    def doubts(self) -> list[tuple[str, str]]:
        price_now = self.cleaned_data["price_per_kg"]
        before = self._lots().first()
        found = []
        if price_now == 0:
            found.append(("price_per_kg", "A price of 0: was it given to the studio?"))
        elif before and before.price_per_kg and not (1 / 3 <= price_now / before.price_per_kg <= 3):
            was = f"{before.price_per_kg.normalize():f}"
            found.append(("price_per_kg", f"Lot {before.code} cost {was} per kg. Is this one right?"))
        if twice := self._same_delivery():
            found.append(("supplier_lot", f"Lot {twice.code} came with this number already. Another one?"))
        return found

    def _lots(self):
        return Lot.objects.filter(material=self.material).order_by("-received_on", "-id")

    def _same_delivery(self) -> Lot | None:
        number, supplier = self.cleaned_data["supplier_lot"], self.cleaned_data["supplier"]
        if not number:
            return None
        return self._lots().filter(supplier_lot__iexact=number, supplier__iexact=supplier).first()
