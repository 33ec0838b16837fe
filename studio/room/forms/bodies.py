from typing import Any

from django import forms

from studio.fields import MassField, NumberField
from studio.room.forms.kept import KeptForm
from studio.room.models import Body

KEPT = ("name", "bisque_cone", "absorption_pct", "bulk_density", "drying_g_per_cm2_h", "wall_mm", "note")


def _weight(label: str, **kwargs: Any) -> MassField:
    return MassField(label=label, required=False, maximum=100_000, **kwargs)


class BodyForm(KeptForm):
    """A clay body: the numbers themselves, or the weighings they come from."""

    name = forms.CharField(label="Name", help_text="What people call it: buff stoneware.", max_length=60)
    bisque_cone = forms.CharField(label="Bisqued to cone", help_text="06, 04.", max_length=4, required=False)
    wall_mm = NumberField(label="Usual wall", unit="mm", above=0, maximum=100, places=1, required=False)
    dry_g = _weight("Dry", help_text="A bisqued piece, dried through.")
    soaked_g = _weight("Soaked", help_text="A day under water, then wiped.")
    hung_g = _weight("Hanging in water", help_text="If you can: it gives the density, too.")
    absorption_pct = NumberField(
        label="or the absorption itself", unit="%", above=0, maximum=40, places=2, required=False
    )
    bulk_density = NumberField(
        label="Bulk density",
        help_text="Dry mass over the outer volume; bisque is often 1.8 to 1.9.",
        unit="g/mL",
        minimum=1,
        maximum=3,
        required=False,
    )
    damp_g = _weight("Damp", help_text="A piece just wetted through.")
    later_g = _weight("Later")
    area_cm2 = NumberField(
        label="Its whole surface", unit="cm²", above=0, maximum=100_000, places=1, required=False
    )
    hours = NumberField(label="Hours between", unit="h", above=0, maximum=200, required=False)
    drying_g_per_cm2_h = NumberField(
        label="or the drying rate itself", unit="g/cm²/h", above=0, maximum=1, places=4, required=False
    )
    measured_on = forms.DateField(
        label="Measured on",
        help_text="Left empty: today, when something was weighed.",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    note = forms.CharField(label="Note", max_length=200, required=False)

    @classmethod
    def shows(cls, body: Body) -> dict[str, Any]:
        """What a form for changing begins with: what is kept, no weighings."""
        return {name: getattr(body, name) for name in KEPT}
