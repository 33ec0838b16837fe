"""Hydrometers, flow cups and calibrations over the API: the same acts and questions as their pages."""

from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from rest_framework import serializers

from studio.api_kit import ListOf, One, Question, RowOut, act_at, amount, row_of
from studio.people import rights
from studio.people.doors import needs
from studio.room import pairs
from studio.room.forms import gauges as forms
from studio.room.forms.kept import PlainForm
from studio.room.models import Calibration, FlowCup, Glass, Hydrometer, Vessel
from studio.room.operations import calibration, flow_cups, hydrometers
from studio.room.serializers import VesselOut


class HydrometerOut(RowOut):
    """A hydrometer; one with retired_at is not offered for readings."""

    division = amount("smallest step, in the unit it shows", places=4)
    modulus = amount("of its Baumé scale, no unit", places=2, allow_null=True)
    calibrated_at_c = amount("°C it was made for", places=1)
    water_reference_c = amount("°C of the water it calls 1.000", places=1)
    expansion_per_c = amount("of itself for each °C", places=7)

    class Meta:
        model = Hydrometer
        fields = (
            "id", "name", "shows", "modulus", "division", "calibrated_at_c", "water_reference_c",
            "expansion_per_c", "retired_at",
        )  # fmt: skip


class FlowCupOut(RowOut):
    """A flow cup; ``standard`` empty: the studio's own."""

    class Meta:
        model = FlowCup
        fields = ("id", "name", "standard", "retired_at")


class CalibrationOut(RowOut):
    """A glass weighed empty and with water."""

    empty_g = amount("g")
    full_g = amount("g, with water")
    temperature_c = amount("°C of the water", places=1)
    volume_ml = amount("mL")
    tolerance_ml = amount("mL, plus or minus")

    class Meta:
        model = Calibration
        fields = (
            "id", "glass", "scale", "empty_g", "full_g", "temperature_c", "volume_ml", "tolerance_ml", "raw",
            "by", "at",
        )  # fmt: skip


class DecidesOut(serializers.Serializer):
    """Whether one window can be decided."""

    half_window = amount("± around a target, no unit", places=4)
    within = amount("inside up to this difference, no unit; negative: nothing is", places=5)
    word = serializers.ChoiceField(["yes", "barely", "no"])
    fine_steps = serializers.BooleanField(help_text="ten steps of the scale go into the window")


class PairOut(serializers.Serializer):
    """A glass on a scale."""

    glass = serializers.IntegerField(source="glass.pk")
    scale = serializers.IntegerField(source="scale.pk")
    u_expanded = amount("twice the standard uncertainty of an SG, no unit", places=5, source="doubt")
    step = amount("of SG that one step of the scale is, no unit", places=5)
    decides = DecidesOut(many=True)


class PairsOut(serializers.Serializer):
    """Every pair, always in one page."""

    next = serializers.CharField(allow_null=True, help_text="null")
    previous = serializers.CharField(allow_null=True, help_text="null")
    results = PairOut(many=True)


@needs(rights.SEE)
class Hydrometers(ListOf):
    """Every hydrometer, newest first; retired ones, too."""

    operation = "hydrometers"
    queryset = Hydrometer.objects.all()
    serializer_class = HydrometerOut


@needs(rights.SEE)
class OneHydrometer(One):
    """One hydrometer."""

    operation = "hydrometer"
    queryset = Hydrometer.objects.all()
    serializer_class = HydrometerOut


@needs(rights.SEE)
class FlowCups(ListOf):
    """Every flow cup, newest first; retired ones, too."""

    operation = "flow_cups"
    queryset = FlowCup.objects.all()
    serializer_class = FlowCupOut


@needs(rights.SEE)
class OneFlowCup(One):
    """One flow cup."""

    operation = "flow_cup"
    queryset = FlowCup.objects.all()
    serializer_class = FlowCupOut


@needs(rights.SEE)
class Calibrations(ListOf):
    """How often a glass was weighed with water, newest first."""

    operation = "calibrations"
    queryset = Calibration.objects.all()
    serializer_class = CalibrationOut

    def narrow(self, rows: QuerySet[Any], **asked: Any) -> QuerySet[Any]:
        return rows.filter(glass=get_object_or_404(Glass, pk=self.kwargs["pk"]))


@needs(rights.SEE)
class Pairs(Question):
    """Which glass on which scale can decide which window, at an SG."""

    operation = "pairs"
    query = forms.AtForm
    output = PairsOut

    def find(self, sg: Decimal) -> dict[str, Any]:
        return {"next": None, "previous": None, "results": pairs.every_pair(sg)}


def _act(where: str, do: Any, form: Any, output: Any, about: Any = None) -> URLPattern:
    return act_at(where, do, form=form, output=output, about=about, right=rights.ROOM)


_float, _cup = row_of("hydrometer", Hydrometer), row_of("flow_cup", FlowCup)
FLOAT, CUP = "hydrometers/<int:pk>/", "flow-cups/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("pairs/", Pairs.as_view(), name="api-pairs"),
    path("hydrometers/", Hydrometers.as_view(), name="api-hydrometers"),
    _act("hydrometers/", hydrometers.add_hydrometer, forms.HydrometerForm, HydrometerOut),
    path(FLOAT, OneHydrometer.as_view(), name="api-hydrometer"),
    _act(FLOAT, hydrometers.change_hydrometer, forms.HydrometerForm, HydrometerOut, _float),
    _act(FLOAT, hydrometers.retire_hydrometer, PlainForm, HydrometerOut, _float),
    _act(FLOAT, hydrometers.bring_back_hydrometer, PlainForm, HydrometerOut, _float),
    path("flow-cups/", FlowCups.as_view(), name="api-flow-cups"),
    _act("flow-cups/", flow_cups.add_flow_cup, forms.FlowCupForm, FlowCupOut),
    path(CUP, OneFlowCup.as_view(), name="api-flow-cup"),
    _act(CUP, flow_cups.change_flow_cup, forms.FlowCupForm, FlowCupOut, _cup),
    _act(CUP, flow_cups.retire_flow_cup, PlainForm, FlowCupOut, _cup),
    _act(CUP, flow_cups.bring_back_flow_cup, PlainForm, FlowCupOut, _cup),
    path("glass/<int:pk>/calibrations/", Calibrations.as_view(), name="api-calibrations"),
    _act(
        "glass/<int:pk>/",
        calibration.calibrate_glass,
        forms.CalibrationForm,
        CalibrationOut,
        row_of("glass", Glass),
    ),
    _act(
        "vessels/<int:pk>/",
        calibration.measure_offset,
        forms.OffsetForm,
        VesselOut,
        row_of("vessel", Vessel),
    ),
]
