"""The API of this app: the same acts and questions as its pages."""

from decimal import Decimal
from typing import Any

from django import forms
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path

from studio.api_kit import Invalid, ListOf, One, Question, act_at, row_of
from studio.api_kit.asking import one_of, words
from studio.fields import NumberField
from studio.people import rights
from studio.people.doors import needs
from studio.room import bodies_api, details_api, gauges_api, queries
from studio.room import serializers as out
from studio.room.forms.instruments import GlassForm, ScaleForm
from studio.room.forms.kept import KeptForm, PlainForm
from studio.room.forms.vessels import NewVesselForm, PlaceForm, VesselForm
from studio.room.models import Glass, PolicyChange, Scale, Vessel
from studio.room.operations import instruments, policy, vessels
from studio.room.policy import WORDS, in_force


class VesselsAsked(forms.Form):
    code = words("The bucket with this code", 12)
    state = one_of("In this state", Vessel.State.choices)


class DepthAsked(forms.Form):
    depth_cm = NumberField(label="Depth on the stick", unit="cm", minimum=0, maximum=500, required=False)


@needs(rights.SEE)
class Vessels(ListOf):
    """Every bucket of the room, newest first; those away, too."""

    operation = "vessels"
    query = VesselsAsked
    queryset = Vessel.objects.all()
    serializer_class = out.VesselOut


@needs(rights.SEE)
class OneVessel(One):
    """One bucket."""

    operation = "vessel"
    queryset = Vessel.objects.all()
    serializer_class = out.VesselOut


@needs(rights.SEE)
class VesselLitres(Question):
    """How much a bucket takes, and how much is in it at a depth."""

    operation = "vessel_litres"
    query = DepthAsked
    output = out.LitresOut

    def find(self, pk: int, depth_cm: Decimal | None) -> dict[str, Any]:
        vessel = get_object_or_404(Vessel, pk=pk)
        if depth_cm is not None and depth_cm > vessel.height_cm:
            deep = f"{vessel.code} is {vessel.height_cm.normalize():f} cm deep inside."
            raise Invalid({"depth_cm": [deep]}, status=400)
        litres = queries.litres_of(vessel, in_force())
        there = None if depth_cm is None else round(vessel.volume_at_l(float(depth_cm)), 3)
        return {
            "brim_l": round(litres.brim_l, 3),
            "limit_l": round(litres.limit_l, 3),
            "limit_pct": litres.limit_pct,
            "at_depth_l": there,
        }


@needs(rights.SEE)
class Scales(ListOf):
    """Every scale of the room, newest first; retired ones, too."""

    operation = "scales"
    queryset = Scale.objects.all()
    serializer_class = out.ScaleOut


@needs(rights.SEE)
class OneScale(One):
    """One scale."""

    operation = "scale"
    queryset = Scale.objects.all()
    serializer_class = out.ScaleOut


@needs(rights.SEE)
class Glasses(ListOf):
    """Every flask and cylinder of the room, newest first; retired ones, too."""

    operation = "glasses"
    queryset = Glass.objects.all()
    serializer_class = out.GlassOut


@needs(rights.SEE)
class OneGlass(One):
    """One flask or cylinder."""

    operation = "glass"
    queryset = Glass.objects.all()
    serializer_class = out.GlassOut


@needs(rights.SEE)
class Rules(Question):
    """The studio's own rules as they stand."""

    operation = "rules"
    output = out.RulesOut

    def find(self) -> dict[str, Any]:
        return {"next": None, "previous": None, "results": queries.rules(in_force())}


class RuleChangesAsked(forms.Form):
    name = one_of("Changes of this rule", [(name, says) for name, (says, _) in WORDS.items()])


@needs(rights.SEE)
class RuleChanges(ListOf):
    """Who changed which rule to what, newest first."""

    operation = "rule_changes"
    query = RuleChangesAsked
    queryset = PolicyChange.objects.all()
    serializer_class = out.PolicyChangeOut


class RuleChangeForm(KeptForm):
    """Over the API a rule is named in what is sent."""

    name = forms.ChoiceField(label="Rule", choices=[(name, says) for name, (says, _) in WORDS.items()])
    value = NumberField(label="New value, in the rule's own unit", places=4)


def _act(where: str, do: Any, form: Any, output: Any, about: Any = None) -> URLPattern:
    return act_at(where, do, form=form, output=output, about=about, right=rights.ROOM)


_vessel, _scale, _glass = row_of("vessel", Vessel), row_of("scale", Scale), row_of("glass", Glass)
VESSEL, SCALE, GLASS = "vessels/<int:pk>/", "scales/<int:pk>/", "glass/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("vessels/", Vessels.as_view(), name="api-vessels"),
    _act("vessels/", vessels.add_vessel, NewVesselForm, out.VesselOut),
    path(VESSEL, OneVessel.as_view(), name="api-vessel"),
    path(f"{VESSEL}litres/", VesselLitres.as_view(), name="api-vessel-litres"),
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
    *bodies_api.urlpatterns,
    *gauges_api.urlpatterns,
    *details_api.urlpatterns,
    path("rules/", Rules.as_view(), name="api-rules"),
    path("rules/changes/", RuleChanges.as_view(), name="api-rule-changes"),
    _act("rules/", policy.set_policy, RuleChangeForm, out.PolicyChangeOut),
]
