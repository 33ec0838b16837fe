"""The form for a reading: what the chosen way of measuring asks for; and the level, if it was read."""

from decimal import Decimal
from typing import Any

from django import forms

from buckets.forms.acting import FillForm, LevelFields, RawMixin
from buckets.models import Reading
from buckets.ways import BY_METHOD, OWN_FIELDS, Way
from studio.calc.typed import SLIPPED
from studio.fields import MassField, NumberField
from studio.room.forms.measuring import MeasuredSgMixin
from studio.room.models import Hydrometer

OTHER_WAY = "This belongs to another way of measuring. Which one was it?"
WEIGHED, NUMBER = BY_METHOD[Reading.Method.WEIGHED], BY_METHOD[Reading.Method.TYPED]


class ReadingForm(RawMixin, MeasuredSgMixin, LevelFields, FillForm):
    """Without a ``way`` weights or a number are taken, as programs send them.

    On a page the way is chosen before: then only its own fields are there.
    """

    way = forms.ChoiceField(
        label="How it was measured",
        choices=[("", ""), *Reading.Method.choices],
        required=False,
        widget=forms.HiddenInput,
        error_messages={"invalid_choice": "How was it measured? Choose one of the ways."},
    )
    hydrometer = forms.ModelChoiceField(
        Hydrometer.objects.filter(retired_at=None),
        label="Hydrometer",
        required=False,
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages={"invalid_choice": "Choose one of these."},
    )
    water_g = MassField(label="Filled with water", required=False)
    as_read = NumberField(
        label="What it said", above=0, maximum=10_000, places=4, required=False, help_text="In its own unit."
    )
    modulus = NumberField(
        label="Modulus of the scale",
        help_text="145 on most hydrometers, 144.3 on older ones: it stands on the stem.",
        above=100,
        maximum=200,
        places=2,
        required=False,
    )
    bucket_g = MassField(
        label="or the bucket on the scale",
        help_text="With the glaze in it, without its lid.",
        first_unit="kg",
        required=False,
    )
    tare_checked = forms.BooleanField(
        label="The empty weight is right as typed",
        required=False,
        help_text="Weighed clean and dry just now.",
    )
    repeats = forms.ModelChoiceField(
        Reading.objects.select_related("fill"),
        label="The reading of the same stir that this one repeats",
        required=False,
        widget=forms.HiddenInput,
        error_messages={"invalid_choice": "That is no reading of this fill."},
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=200,
        error_messages={"max_length": "A note has at most 200 letters."},
    )

    def __init__(self, *args: Any, way: Way | None = None, theirs: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.theirs, self.chosen = theirs, way
        self.fields["sg"].label = "Specific gravity"
        self.fields["tare_g"].help_text = "Left empty: the glass’s own weight, as above."
        self.fields["gross_g"].help_text = "Stirred glaze up to the mark, the outside wiped."
        self.fields["hydrometer"].label_from_instance = _hydrometer_words  # type: ignore[attr-defined]
        if way is not None:
            self._only(way)

    def _only(self, way: Way) -> None:
        """The fields of one way, in its words."""
        for name in OWN_FIELDS - set(way.fields) - {"temperature_c"}:
            del self.fields[name]
        self.initial.setdefault("way", way.method)
        if way.slug not in ("weighed", "number"):  # there the form itself asks, for one or the other
            for name, question in way.needs.items():
                self.fields[name].required = True
                self.fields[name].error_messages["required"] = question
        if "as_read" in self.fields:
            field: Any = self.fields["as_read"]
            field.label, field.unit = way.label, way.unit
            least, most = way.span
            field.minimum, field.maximum = Decimal(least) if least else None, Decimal(most)
            field.help_text = "In the hydrometer’s own unit." if way.slug == "hydrometer" else ""
        if way.slug == "baume":
            self.initial.setdefault("modulus", "145")
        if way.slug == "water":
            self.fields["gross_g"].label = "Filled with glaze"
            self.fields["gross_g"].help_text = "To the same mark, the outside wiped."
            self.fields["tare_g"].help_text = ""
        if "glass" in self.fields and way is not WEIGHED:
            glass: Any = self.fields["glass"]
            glass.label, glass.empty_label = "Which vessel was it?", "None of these"
            glass.help_text = "With one of the room’s, and its scale, the doubt is known, too."
            glass.widget.choices = glass.choices

    def own(self) -> list[forms.BoundField]:
        """The fields of the way, in its order; the tick about the empty weight only where it is asked for."""
        names = self.chosen.fields if self.chosen else (*WEIGHED.fields, *NUMBER.fields)
        asked = [name for name in names if name != "tare_checked" or self.has_error("tare_g")]
        return [self[name] for name in asked if name in self.fields]

    def measure(self, cleaned: dict[str, Any]) -> None:
        if self.has_error("way"):
            return
        way = BY_METHOD.get(cleaned.get("way") or "") or self.chosen
        if way is None:
            if self._told(cleaned, OWN_FIELDS - {*WEIGHED.fields, *NUMBER.fields}):
                self.add_error("way", "How was it measured? Choose one of the ways.")
            super().measure(cleaned)
        else:
            for name in self._told(cleaned, OWN_FIELDS - set(way.fields)):
                self.add_error(name, OTHER_WAY)
            if way is WEIGHED:
                super().measure(cleaned)
            for name, question in way.needs.items():
                if not cleaned.get(name) and name in self.fields and not self.has_error(name):
                    self.add_error(name, question)
        self._keep_unit(cleaned)

    def _told(self, cleaned: dict[str, Any], names: frozenset[str] | set[str]) -> list[str]:
        """Which of these fields were filled in; the temperature belongs to every way."""
        told = (name for name in sorted(names - {"temperature_c"}) if name in self.fields)
        return [name for name in told if cleaned.get(name) not in (None, "", False)]

    def _keep_unit(self, cleaned: dict[str, Any]) -> None:
        """A number picked as so many ounces is kept as such; a slipped decimal mark keeps what was typed."""
        picked = self.picked
        if picked is None or not picked.unit:
            return
        cleaned["as_read"] = picked.typed
        cleaned["way"] = Reading.Method.TYPED if picked.unit == SLIPPED else picked.unit

    def act_args(self) -> dict[str, Any]:
        args = super().act_args()
        if args.get("way") not in (None, "", Reading.Method.TYPED, Reading.Method.WEIGHED):
            args.pop("sg", None)
        return args


def _hydrometer_words(row: Hydrometer) -> str:
    """ "Long hydrometer: shows specific gravity, made for 20 °C"."""
    return f"{row.name}: shows {row.get_shows_display()}, made for {row.calibrated_at_c.normalize():f} °C"
