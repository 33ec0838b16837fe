"""How fast a glaze settles, for programs."""

from django.urls import URLPattern, path

from buckets.api.lists import OfFill
from buckets.api.on import FILL, on_fill, on_row
from buckets.forms.settling import SettlingForm
from buckets.models import Settling
from buckets.operations.settling import observe_settling, take_back_settling
from studio.api_kit import RowOut, amount
from studio.people.doors import needs
from studio.people.rights import SEE, WET


class SettlingOut(RowOut):
    """One look at a stirred glaze left alone; reverses names the one this one takes back."""

    sg = amount("specific gravity when stirred, no unit", places=4)
    minutes = amount("min it stood", places=1)
    clear_mm = amount("mm of clear water on top", places=1, allow_null=True)
    top_sg = amount("specific gravity of the sample from dip depth, no unit", places=4, allow_null=True)
    settles_min = amount("min until the next stir is due", places=1)

    class Meta:
        model = Settling
        fields = [
            "id", "fill", "kind", "sg", "minutes", "clear_mm", "top_sg", "temperature_c", "settles_min",
            "note", "raw", "reverses", "by", "at",
        ]  # fmt: skip


@needs(SEE)
class Settlings(OfFill):
    """Looks at how fast it settles, newest first."""

    operation = "settlings_of_fill"
    queryset = Settling.objects.all()
    serializer_class = SettlingOut


urlpatterns: list[URLPattern] = [
    path(f"{FILL}settlings/", Settlings.as_view(), name="api-settlings"),
    on_fill(observe_settling, WET, SettlingForm, SettlingOut),
    on_row("settlings", "settling", Settling, take_back_settling, SettlingOut, right=WET),
]
