from decimal import Decimal
from typing import Any

from django import forms

from studio import words
from studio.fields import MassField
from studio.materials.forms.materials import day, price
from studio.materials.models import Lot
from studio.room.forms.kept import AskingForm, KeptForm

ASK_ABOVE = Decimal("0.5")  # of the record; a count that far off is more often a wrong unit
ASK_RESIDUE = Decimal("0.02")  # of what came; more than that is no residue; common practice, no source


class LotForm(AskingForm):
    """An act on one lot that may ask about its figures."""

    def __init__(self, *args: Any, lot: Lot | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lot = lot


class CorrectForm(LotForm):
    """What a lot really holds."""

    to_g = MassField(
        label="It really holds", help_text="Weighed, without the bag. 0 if nothing is there.", above=None
    )
    reason = forms.CharField(label="Why is the record wrong?", max_length=200)

    def clean_to_g(self) -> Decimal:
        to_g = self.cleaned_data["to_g"]
        if to_g is not None and to_g < 0:
            raise forms.ValidationError("A lot can't hold less than 0 g.")
        return to_g

    def doubts(self) -> list[tuple[str, str]]:
        if self.lot is None:
            return []
        record, to_g = self.lot.on_hand_g, self.cleaned_data["to_g"]
        if abs(to_g - record) <= ASK_ABOVE * record:
            return []
        return [
            ("to_g", f"The record says {words.mass(record)}. Is {words.mass(to_g)} right, also its unit?")
        ]


class UseUpForm(LotForm):
    """A lot is empty; what the record still says is written off."""

    reason = forms.CharField(label="What became of the rest?", max_length=200, initial="bag empty")

    def doubts(self) -> list[tuple[str, str]]:
        if self.lot is None:
            return []
        left = self.lot.on_hand_g
        first = self.lot.movements.order_by("id").first()
        if first is None or left <= ASK_RESIDUE * first.mass_g:
            return []
        return [("reason", f"The record still says {words.mass(left)}. Write all of it off?")]


class PriceForm(KeptForm):
    """The price that was really paid."""

    price_per_kg = price("It really cost")
    reason = forms.CharField(label="Why is the record wrong?", max_length=200)


class LotDetailsForm(KeptForm):
    """Where a lot came from, and what to know of it."""

    supplier = forms.CharField(label="Supplier", max_length=80, required=False)
    supplier_lot = forms.CharField(
        label="Supplier's own number", help_text="Lot or delivery note.", max_length=40, required=False
    )
    received_on = day("Came on")
    note = forms.CharField(label="Note", max_length=200, required=False)
