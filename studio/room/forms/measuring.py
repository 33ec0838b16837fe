from typing import Any

from django import forms

from studio import words
from studio.fields import MassField, NumberField, SgFormMixin
from studio.room import measuring
from studio.room.models import Glass, Scale


class MeasuredSgMixin(SgFormMixin):
    """A specific gravity either weighed (glass, scale, tare, gross) or typed as a number.

    ``cleaned_data`` ends with ``sg`` and ``u_sg`` (None when the number was typed without scale and
    glass); the raw weights stay in it for forms that keep them.
    """

    glass = forms.ModelChoiceField(
        Glass.objects.filter(retired_at=None), required=False, label="Flask or cylinder"
    )
    scale = forms.ModelChoiceField(Scale.objects.filter(retired_at=None), required=False)
    tare_g = MassField(required=False, label="Empty", help_text="the flask or cylinder alone")
    gross_g = MassField(required=False, label="Filled to the mark")
    temperature_c = NumberField(
        required=False, unit="°C", minimum=0, maximum=50, places=1, label="Temperature"
    )

    either = ("scale", "gross_g", "sg")
    waives = ("sg",)
    field_order = ["glass", "scale", "tare_g", "gross_g", "sg", "sg_pick"]

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sg"].required = False
        self.fields["sg"].label = "or the number, if you have it already"
        for name, describe in (("glass", glass_words), ("scale", scale_words)):
            field: Any = self.fields[name]
            field.widget = forms.RadioSelect()
            field.empty_label = None
            field.label_from_instance = describe
            field.widget.choices = field.choices
            field.error_messages["invalid_choice"] = "Choose one of these."

    def suggest(self, *, glasses: list[Glass], scales: list[Scale]) -> None:
        """Before anything is typed: the only glass with its empty weight, the finest scale."""
        if len(glasses) == 1:
            self.initial["glass"], self.initial["tare_g"] = glasses[0].pk, glasses[0].empty_g
        if scales:
            self.initial["scale"] = min(scales, key=lambda scale: scale.division_g).pk

    def clean(self):
        cleaned = super().clean()
        cleaned["u_sg"] = None
        self.measure(cleaned)
        return cleaned

    def measure(self, cleaned):
        """What the weights or the number come to, or what is missing beside its field."""
        typed = "sg" in self.fields and self.data.get(self.add_prefix("sg"), "").strip()
        weights = [name for name in ("tare_g", "gross_g") if cleaned.get(name) is not None]
        if typed and "gross_g" in weights:
            self.add_error("sg", "Give the weights or the number, not both: which one counts?")
        elif "gross_g" in weights:
            self._weighed(cleaned)
        elif not typed and not self.errors:
            self.add_error("gross_g", "Weigh the filled flask, or type the number below.")

    def _weighed(self, cleaned) -> None:
        glass, scale = cleaned.get("glass"), cleaned.get("scale")
        tare = cleaned.get("tare_g")
        if tare is None and glass is not None:
            tare = cleaned["tare_g"] = glass.empty_g
        if glass is None:
            self.add_error("glass", "Which flask or cylinder was filled?")
        elif tare is None:
            self.add_error("tare_g", "What does it weigh empty?")
        elif cleaned["gross_g"] <= tare:
            self.add_error("gross_g", f"Filled must be more than empty ({tare.normalize():f} g).")
        else:
            measured = measuring.weighed(gross_g=cleaned["gross_g"], tare_g=tare, glass=glass, scale=scale)
            if not 1 <= measured.sg <= 2.2:
                self.add_error(
                    "gross_g",
                    f"That makes {measured.sg}; a glaze lies between 1.00 and 2.20. Check both weights.",
                )
            else:
                cleaned["sg"], cleaned["u_sg"] = measured.sg, measured.u_sg


def glass_words(glass: Glass) -> str:
    """ "Cylinder 100: 100 mL ± 0.5 mL, empty 65.7 g"."""
    volume, doubt = (words.number(x, 2, least=0) for x in (glass.volume_ml, glass.tolerance_ml))
    empty = f", empty {words.grams(glass.empty_g)}" if glass.empty_g is not None else ""
    return f"{glass.name}: {volume} mL ± {doubt} mL{empty}"


def scale_words(scale: Scale) -> str:
    """ "Fine scale: shows 0.1 g, up to 600 g"."""
    return f"{scale.name}: shows {words.grams(scale.division_g)}, up to {words.mass(scale.capacity_g)}"
