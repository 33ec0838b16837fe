from django import forms

from studio.fields import NumberField, plain
from studio.room.forms.kept import KeptForm
from studio.room.operations.policy import bounds_of
from studio.tone import speak


class RuleForm(KeptForm):
    """A rule's new value; what it may be depends on the rule."""

    value = NumberField(label="New value", places=4)

    def __init__(self, *args, name: str = "", says: str = "", unit: str = "", **kwargs) -> None:
        super().__init__(*args, **kwargs)
        if not name:
            return
        bounds = bounds_of(name)
        self.fields["value"] = NumberField(
            label=says,
            help_text=f"Between {plain(bounds.low)} and {plain(bounds.high)} {unit}".strip() + ".",
            unit=unit,
            minimum=bounds.low,
            maximum=bounds.high,
            places=bounds.places,
        )
        speak(self.fields.values())


class SwitchForm(KeptForm):
    """A rule that is either so or not."""

    value = forms.TypedChoiceField(
        label="How shall it be?", choices=[("1", "yes"), ("0", "no")], coerce=int, widget=forms.RadioSelect
    )

    def __init__(self, *args, says: str = "", **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["value"].label = says or self.fields["value"].label
