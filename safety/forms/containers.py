"""Forms of containers and lots that get a label, and of the paper labels are printed on."""

from typing import Any

from django import forms
from django.db.models import F

from safety.models import Container, Stock
from safety.operations.containers import GONE, MOST_L, USED_UP
from studio.fields import NumberField, VolumeField
from studio.materials.models import Lot
from studio.recipes.models import Version
from studio.room.forms.kept import KeptForm

HERE = (Lot.State.QUARANTINE, Lot.State.RELEASED)


class CapacityForm(KeptForm):
    """How much something holds when full: the label's size follows."""

    capacity_l = VolumeField(
        label="It holds, when full",
        help_text="The container, not what is in it: the label's size follows.",
        maximum=MOST_L,
    )


class ContainerForm(CapacityForm):
    """A tub, pot, lot of tiles or waste container, and what is in it."""

    kind = forms.ChoiceField(label="What is it?", choices=Container.Kind.choices)
    lot = forms.ModelChoiceField(
        Lot.objects.filter(state__in=HERE).select_related("material").order_by("material__name", "code"),
        label="Decanted from lot",
        required=False,
        empty_label="no lot",
        error_messages={"invalid_choice": "There is no such lot in the store."},
    )
    version = forms.ModelChoiceField(
        Version.objects.filter(recipe__current=F("pk")).select_related("recipe").order_by("recipe__name"),
        label="or glaze of the recipe",
        required=False,
        empty_label="no recipe",
        error_messages={"invalid_choice": "There is no such recipe in force."},
    )
    what = forms.CharField(
        label="Name on the label",
        help_text="Left empty: that of the lot or the recipe. Without either it is treated as hazardous.",
        max_length=120,
        required=False,
    )
    about = forms.CharField(
        label="Belongs to", help_text="Batch 26-014, line 3.", max_length=60, required=False
    )
    field_order = ("kind", "lot", "version", "what", "capacity_l", "about")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["lot"].label_from_instance = lambda lot: f"{lot.material.name}, {lot.code}"  # type: ignore[attr-defined]


class GoneForm(KeptForm):
    """What became of it."""

    how = forms.ChoiceField(
        label="What became of it?",
        choices=[(how, how) for how in GONE],
        initial=USED_UP,
        widget=forms.RadioSelect,
    )


def _mm(label: str, help_text: str = "", **kwargs: Any) -> NumberField:
    kwargs.setdefault("minimum", 0)
    return NumberField(label=label, help_text=help_text, unit="mm", maximum=500, places=1, **kwargs)


class StockForm(KeptForm):
    """A kind of label sheet or roll, as a ruler measured it."""

    name = forms.CharField(label="Name", help_text="What stands on the box.", max_length=60)
    paper = forms.ChoiceField(label="Paper", choices=Stock.Paper.choices)
    width_mm = _mm("One label, wide", minimum=20)
    height_mm = _mm("One label, high", minimum=20)
    columns = forms.IntegerField(label="Labels across", min_value=1, max_value=50, initial=1)
    rows = forms.IntegerField(label="Labels down", min_value=1, max_value=50, initial=1)
    left_mm = _mm("Margin on the left", "From the edge of the paper to the first label.", initial="0")
    top_mm = _mm("Margin on top", initial="0")
    gap_x_mm = _mm("Gap across", "Between one label and the next.", initial="0")
    gap_y_mm = _mm("Gap down", initial="0")

    @classmethod
    def shows(cls, stock: Stock) -> dict[str, Any]:
        """What a form for changing begins with."""
        return {name: getattr(stock, name) for name in cls.base_fields if name != "key"}
