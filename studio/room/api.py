"""The API of this app: the same acts and questions as its pages."""

from typing import Any

from django import forms
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from drf_spectacular.utils import extend_schema
from rest_framework import generics
from rest_framework.response import Response
from rest_framework.views import APIView

from studio.api_kit import Pages, act_view
from studio.fields import NumberField
from studio.people import rights
from studio.people.doors import needs
from studio.room import queries
from studio.room import serializers as out
from studio.room.forms.instruments import GlassForm, ScaleForm
from studio.room.forms.kept import KeptForm, PlainForm
from studio.room.forms.vessels import NewVesselForm, PlaceForm, VesselForm
from studio.room.models import Glass, Scale, Vessel
from studio.room.operations import instruments, policy, vessels
from studio.room.policy import WORDS, in_force


@needs(rights.SEE)
class Vessels(generics.ListAPIView):
    """Every bucket of the room, newest first; those away, too."""

    queryset = Vessel.objects.all()
    serializer_class = out.VesselOut
    pagination_class = Pages


@needs(rights.SEE)
class OneVessel(generics.RetrieveAPIView):
    """One bucket."""

    queryset = Vessel.objects.all()
    serializer_class = out.VesselOut


@needs(rights.SEE)
class Scales(generics.ListAPIView):
    """Every scale of the room, newest first; retired ones, too."""

    queryset = Scale.objects.all()
    serializer_class = out.ScaleOut
    pagination_class = Pages


@needs(rights.SEE)
class OneScale(generics.RetrieveAPIView):
    """One scale."""

    queryset = Scale.objects.all()
    serializer_class = out.ScaleOut


@needs(rights.SEE)
class Glasses(generics.ListAPIView):
    """Every flask and cylinder of the room, newest first; retired ones, too."""

    queryset = Glass.objects.all()
    serializer_class = out.GlassOut
    pagination_class = Pages


@needs(rights.SEE)
class OneGlass(generics.RetrieveAPIView):
    """One flask or cylinder."""

    queryset = Glass.objects.all()
    serializer_class = out.GlassOut


@needs(rights.SEE)
class Rules(APIView):
    """The studio's own rules as they stand."""

    @extend_schema(operation_id="rules_list", responses=out.RuleOut(many=True))
    def get(self, request: Any) -> Response:
        return Response(out.RuleOut(queries.rules(in_force()), many=True).data)


class RuleChangeForm(KeptForm):
    """Over the API a rule is named in what is sent."""

    name = forms.ChoiceField(label="Rule", choices=[(name, says) for name, (says, _) in WORDS.items()])
    value = NumberField(label="New value, in the rule's own unit", places=4)


def _vessel(request: Any, pk: int) -> dict[str, Any]:
    return {"vessel": get_object_or_404(Vessel, pk=pk)}


def _scale(request: Any, pk: int) -> dict[str, Any]:
    return {"scale": get_object_or_404(Scale, pk=pk)}


def _glass(request: Any, pk: int) -> dict[str, Any]:
    return {"glass": get_object_or_404(Glass, pk=pk)}


def _act(where: str, do: Any, form: Any, output: Any, about: Any = None) -> URLPattern:
    """One act below ``where``: its address and its names are those of the operation."""
    name = do.__name__
    dashes = name.replace("_", "-")
    view = act_view(name, right=rights.ROOM, form=form, do=do, output=output, about=about)
    return path(f"{where}{dashes}/", view, name=f"api-{dashes}")


VESSEL, SCALE, GLASS = "vessels/<int:pk>/", "scales/<int:pk>/", "glass/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("vessels/", Vessels.as_view(), name="api-vessels"),
    _act("vessels/", vessels.add_vessel, NewVesselForm, out.VesselOut),
    path(VESSEL, OneVessel.as_view(), name="api-vessel"),
    _act(VESSEL, vessels.change_vessel, VesselForm, out.VesselOut, _vessel),
    _act(VESSEL, vessels.move_vessel, PlaceForm, out.VesselOut, _vessel),
    _act(VESSEL, vessels.put_away_vessel, PlainForm, out.VesselOut, _vessel),
    _act(VESSEL, vessels.bring_back_vessel, PlainForm, out.VesselOut, _vessel),
    path("scales/", Scales.as_view(), name="api-scales"),
    _act("scales/", instruments.add_scale, ScaleForm, out.ScaleOut),
    path(SCALE, OneScale.as_view(), name="api-scale"),
    _act(SCALE, instruments.change_scale, ScaleForm, out.ScaleOut, _scale),
    _act(SCALE, instruments.retire_scale, PlainForm, out.ScaleOut, _scale),
    _act(SCALE, instruments.bring_back_scale, PlainForm, out.ScaleOut, _scale),
    path("glass/", Glasses.as_view(), name="api-glasses"),
    _act("glass/", instruments.add_glass, GlassForm, out.GlassOut),
    path(GLASS, OneGlass.as_view(), name="api-glass"),
    _act(GLASS, instruments.change_glass, GlassForm, out.GlassOut, _glass),
    _act(GLASS, instruments.retire_glass, PlainForm, out.GlassOut, _glass),
    _act(GLASS, instruments.bring_back_glass, PlainForm, out.GlassOut, _glass),
    path("rules/", Rules.as_view(), name="api-rules"),
    _act("rules/", policy.set_policy, RuleChangeForm, out.PolicyChangeOut),
]
