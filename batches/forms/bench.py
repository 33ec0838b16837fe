from django import forms

from studio.fields import ActForm, NumberField
from studio.materials.models import Lot
from studio.room.models import Scale


class WeighForm(ActForm):
    """One pot of powder: which lot, and what the scale shows with the pot taken off."""

    lot = forms.ModelChoiceField(
        Lot.objects.none(),
        to_field_name="code",
        label="Lot",
        empty_label=None,
        error_messages={"invalid_choice": "That is not a released lot of this material."},
    )
    net_g = NumberField(unit="g", above=0, maximum=1_000_000, label="The scale shows, pot taken off")
    part = forms.BooleanField(
        required=False, label="More of this line is to come: another load, or this lot ends here"
    )
    scale = forms.ModelChoiceField(
        Scale.objects.filter(retired_at=None), required=False, label="Scale", empty_label="as planned"
    )

    def __init__(self, *args, line, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["lot"].queryset = (
            Lot.objects.filter(material=line.material_id, state=Lot.State.RELEASED)
            .select_related("material")
            .order_by("received_on", "id")
        )

    def lots(self) -> list[Lot]:
        """The lots to choose from, the oldest first: one query, and the field asks no other."""
        field = self.fields["lot"]
        rows = list(field.queryset)
        field.choices = [(lot.code, field.label_from_instance(lot)) for lot in rows]
        return rows

    def act_args(self):
        return {**super().act_args(), "raw": self.typed()}
