"""Flow and particle density, for programs."""

from django.urls import URLPattern, path

from buckets.api.lists import OfFill
from buckets.api.on import FILL, on_fill, on_row
from buckets.forms.flow import DensityForm, FlowForm
from buckets.models import Density, Flow
from buckets.operations import density, flow
from studio.api_kit import RowOut, amount
from studio.fields import ActForm
from studio.people.doors import needs
from studio.people.rights import MAKE, SEE, USE


class FlowOut(RowOut):
    """Seconds through a cup; replaces names the one that a row without seconds takes back."""

    seconds = amount("seconds through the cup", places=1, allow_null=True)
    viscosity_mm2_s = amount("mm²/s, nominal; null: outside the cup's range", places=1, allow_null=True)
    temperature_c = amount("°C", places=1, allow_null=True)

    class Meta:
        model = Flow
        fields = [
            "id", "fill", "cup", "seconds", "viscosity_mm2_s", "temperature_c", "is_reference", "note", "raw",
            "replaces", "by", "at",
        ]  # fmt: skip


class PowderOut(RowOut):
    """Particle density measured; reverses names the one this row takes back."""

    tare_g = amount("g, the glass empty")
    gross_g = amount("g, filled with slurry")
    temperature_c = amount("°C of the slurry", places=1)
    volume_ml = amount("mL of slurry")
    dry_g = amount("g left when dry")
    particle_density = amount("g/mL of the powder")
    u = amount("g/mL, standard uncertainty of particle_density")

    class Meta:
        model = Density
        fields = [
            "id", "fill", "glass", "tare_g", "gross_g", "temperature_c", "sg", "volume_ml", "dry_g",
            "particle_density", "u", "note", "raw", "reverses", "by", "at",
        ]  # fmt: skip


@needs(SEE)
class Flows(OfFill):
    """Flows of a fill, newest first; taken back ones and what took them back, too."""

    operation = "flows_of_fill"
    queryset = Flow.objects.all()
    serializer_class = FlowOut


@needs(SEE)
class Densities(OfFill):
    """Particle densities measured in a fill, newest first."""

    operation = "densities_of_fill"
    queryset = Density.objects.all()
    serializer_class = PowderOut


urlpatterns: list[URLPattern] = [
    path(f"{FILL}flows/", Flows.as_view(), name="api-flows"),
    path(f"{FILL}densities/", Densities.as_view(), name="api-densities"),
    on_fill(flow.record_flow, USE, FlowForm, FlowOut),
    on_fill(density.measure_density, MAKE, DensityForm, PowderOut),
    on_row("flows", "flow", Flow, flow.take_back_flow, FlowOut),
    on_row("flows", "flow", Flow, flow.mark_flow_reference, FlowOut, ActForm, MAKE),
    on_row("densities", "density", Density, density.take_back_density, PowderOut, right=MAKE),
]
