"""Forms for the acts that change what is in a bucket: what came off, what went in, how it was sieved."""

from collections.abc import Iterable
from typing import Any

from django import forms

from buckets.calc.flow_table import ADDITIVES
from buckets.forms.acting import FillForm, LevelFields, RawMixin
from buckets.models import Fill, WriteOff
from buckets.operations.care import DECANTED, STANDING_OPEN
from buckets.operations.powder import FromLot
from studio.fields import ActForm, MassField, NumberField, SgFormMixin, VolumeField
from studio.materials.models import Lot
from studio.room.models import Vessel
from studio.rows import RowForm, rows_wanted, typed_rows

NOTE_LENGTH = {"max_length": "A note has at most 200 letters."}
MOST_LOTS = 40


def note_field(help_text: str = "", label: str = "Note") -> forms.CharField:
    """A few words, or none."""
    return forms.CharField(
        label=label, help_text=help_text, required=False, max_length=200, error_messages=NOTE_LENGTH
    )


class WaterOffForm(RawMixin, FillForm):
    how = forms.ChoiceField(
        label="How it went",
        choices=[
            (DECANTED, "decanted: clear water taken off the top"),
            (STANDING_OPEN, "dried: the bucket stood open"),
        ],
        widget=forms.RadioSelect,
        error_messages={
            "required": "Was it decanted, or did it dry standing open?",
            "invalid_choice": "Was it decanted, or did it dry standing open?",
        },
    )
    volume_l = VolumeField(label="Water that is gone", required=False)
    depth_cm = NumberField(
        label="or the depth it stands at now",
        help_text="Before it is stirred: the level on the stick.",
        unit="cm",
        minimum=0,
        maximum=500,
        required=False,
    )
    note = note_field("Where the liquor is kept, if it was decanted.")
    either = ("volume_l", "depth_cm")

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        if {"volume_l", "depth_cm"} & set(self.errors):
            return cleaned
        told = [name for name in self.either if cleaned.get(name) is not None]
        if len(told) != 1:
            said = "not both: which one counts?" if told else "or the depth it stands at now."
            self.add_error("volume_l", f"Give the litres {'or the depth, ' if told else ''}{said}")
        return cleaned


class LotRow(RowForm):
    """Grams out of one lot. A row without grams is left out."""

    lot = forms.CharField(
        label="Lot", max_length=20, required=False, error_messages={"max_length": "There is no such lot."}
    )
    net_g = MassField(label="Weighed", required=False)

    typed_in = ("net_g_0",)

    def __init__(self, *args: Any, choices: Iterable[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if choices:
            self.fields["lot"].widget = forms.Select(choices=list(choices))
        for name, field in self.fields.items():
            parts = getattr(field.widget, "widgets", [field.widget])
            parts[0].attrs["aria-label"] = f"{field.label}, row {self.number}"
            if name == "net_g":
                parts[1].attrs["aria-label"] = f"Unit, row {self.number}"


class PowderForm(RawMixin, FillForm):
    """Either the sum of what was made up before, or grams out of lots, a row each."""

    row_form, most_rows, rows_wanted = LotRow, MOST_LOTS, False  # in the API
    mass_g = MassField(
        label="Dry powder that went in",
        help_text="Of this recipe, made up before. The store is not changed by it.",
        required=False,
    )
    note = note_field("Where it came from: the tub of 14 March, the rest of batch 26-014.")

    def __init__(self, data: Any = None, *args: Any, choices: Any = (), **kwargs: Any) -> None:
        super().__init__(data, *args, **kwargs)
        offered = list(choices)
        count = len(offered) if data is None else rows_wanted(data, first=0, most=MOST_LOTS)
        self.rows = [
            LotRow(data, number=n, choices=offered[n] if n < len(offered) else ()) for n in range(count)
        ]

    @property
    def filled(self) -> list[LotRow]:
        return [row for row in self.rows if not row.blank]

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        codes = []
        for row in self.filled:
            if row.is_valid():
                codes.append(row.cleaned_data["lot"])
        there = {lot.code: lot for lot in Lot.objects.filter(code__in=codes).select_related("material")}
        for row in self.filled:
            if row.is_valid() and row.cleaned_data["lot"] not in there:
                row.add_error("lot", "Which lot was it weighed from? There is none of this code.")
        if any(row.errors for row in self.filled):
            self.add_error(None, "Nothing is saved yet. Look at the lots below.")
        elif self.filled:
            cleaned["rows"] = [
                FromLot(lot=there[row.cleaned_data["lot"]], net_g=row.cleaned_data["net_g"])
                for row in self.filled
            ]
        elif cleaned.get("mass_g") is None and "mass_g" not in self.errors:
            self.add_error("mass_g", "How much powder went in? Type the sum, or the grams of each lot below.")
        return cleaned

    def act_args(self) -> dict[str, Any]:
        return {**super().act_args(), "rows": self.cleaned_data.get("rows", [])}

    def typed(self) -> str:
        return "; ".join([super().typed(), *typed_rows(self.data)])[:4000]


class AdditiveForm(RawMixin, FillForm):
    additive = forms.ChoiceField(
        label="What goes in",
        choices=[(name, f"{name}: {item.does}") for name, item in ADDITIVES.items()],
        error_messages={
            "required": "What went in? Choose one of the list, or other.",
            "invalid_choice": "What went in? Choose one of the list, or other.",
        },
    )
    product = forms.CharField(
        label="Product, as its data sheet calls it",
        required=False,
        max_length=28,
        error_messages={"max_length": "A name has at most 28 letters here."},
    )
    stock_g_per_l = NumberField(
        label="Strength of the solution", unit="g/L", above=0, maximum=1000, places=2, required=False
    )
    volume_l = VolumeField(label="Solution that went in", first_unit="mL", required=False)
    mass_g = MassField(label="or weighed dry", required=False)
    note = note_field()

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        if self.errors or self.only_asks:
            return cleaned
        volume, mass = cleaned.get("volume_l"), cleaned.get("mass_g")
        if volume is not None and mass is not None:
            self.add_error("mass_g", "Dissolved or dry? Give the solution or the grams, not both.")
        elif volume is None and mass is None:
            self.add_error("volume_l", "How much went in? Give the millilitres of solution, or the grams.")
        elif volume is not None and cleaned.get("stock_g_per_l") is None:
            self.add_error("stock_g_per_l", "How strong is the solution? Grams in a litre of it.")
        return cleaned

    @property
    def only_asks(self) -> bool:
        """Whether somebody only asks what a dose comes to: nothing went in yet."""
        return False


class DoseForm(AdditiveForm):
    """The page's form: it works out a dose before it goes in, half first."""

    wanted_pct = NumberField(
        label="Dose you want",
        help_text="To work out how much that is. It is not written down.",
        unit="% of the dry glaze",
        above=0,
        maximum=5,
        places=4,
        required=False,
    )
    anhydrous = forms.BooleanField(label="A dose without the salt’s crystal water", required=False)
    field_order = ["key", "additive", "product", "wanted_pct", "anhydrous", "stock_g_per_l"]

    @property
    def only_asks(self) -> bool:
        nothing = not any(str(self.data.get(name, "")).strip() for name in ("volume_l_0", "mass_g_0"))
        return "look" in self.data and nothing

    def act_args(self) -> dict[str, Any]:
        asked = ("wanted_pct", "anhydrous")
        return {name: value for name, value in super().act_args().items() if name not in asked}


class RecoverForm(RawMixin, FillForm):
    """Thawed, or loosened by hand: a note at most."""

    note = note_field("How hard it was, which tool.")


class BeginReclaimForm(RawMixin, LevelFields, ActForm):
    vessel = forms.ModelChoiceField(
        Vessel.objects.filter(state=Vessel.State.IN_SERVICE),
        label="Bucket",
        to_field_name="code",
        empty_label="choose",
        error_messages={
            "required": "Which bucket is it?",
            "invalid_choice": "There is no such bucket in service.",
        },
    )
    glaze = forms.CharField(
        label="What it is called",
        help_text="Left empty: Reclaim.",
        required=False,
        max_length=80,
        error_messages={"max_length": "A name has at most 80 letters."},
    )
    note = note_field("What is in it already.")
    field_order = ["key", "vessel", "glaze", "depth_cm", "volume_l", "note"]


class PourReclaimForm(RawMixin, SgFormMixin, FillForm):
    volume_l = VolumeField(
        label="Poured in", error_messages={"required": "How much was poured in? An estimate will do."}
    )
    source = forms.CharField(
        label="From where",
        help_text="B04, the sieve, the trap under the sink.",
        max_length=200,
        error_messages={
            "required": "Where is it from? A bucket, the sieve, the trap, the sink.",
            "max_length": "At most 200 letters.",
        },
    )
    field_order = ["key", "volume_l", "source", "sg", "sg_pick"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sg"].required = False
        self.fields["sg"].help_text = "If it was measured."

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        cleaned["sg"] = cleaned.get("sg") or None
        return cleaned


def reclaim_buckets() -> Any:
    """Open fills that are reclaim, with their vessels."""
    return Fill.objects.filter(reclaim=True, emptied_at=None).select_related("vessel")


class EmptyForm(RawMixin, FillForm):
    went = forms.ChoiceField(
        label="Where the glaze went",
        choices=WriteOff.Went.choices,
        widget=forms.RadioSelect,
        required=False,
        error_messages={"invalid_choice": "Where did the glaze go? Choose one."},
    )
    into = forms.ModelChoiceField(
        reclaim_buckets(),
        label="Which reclaim bucket took it",
        help_text="It is poured in there by this act.",
        required=False,
        empty_label="none of ours",
        error_messages={"invalid_choice": "There is no such reclaim bucket now."},
    )
    why = forms.CharField(
        label="Why",
        help_text="Nobody dips it, hard as a brick, blue specks.",
        max_length=200,
        error_messages={
            "required": "Say why it is emptied.",
            "max_length": "At most 200 letters.",
        },
    )

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        cleaned["went"] = cleaned.get("went") or WriteOff.Went.ELSEWHERE
        if cleaned.get("into") is not None and cleaned["went"] == WriteOff.Went.ELSEWHERE:
            cleaned["went"] = WriteOff.Went.RECLAIM
        if cleaned.get("into") is not None and cleaned["went"] != WriteOff.Went.RECLAIM:
            self.add_error("into", "It went into a reclaim bucket, or somewhere else? Both were said.")
        if cleaned.get("into") is not None and cleaned["into"] == self.fill:
            self.add_error("into", "A bucket can't be emptied into itself.")
        return cleaned
