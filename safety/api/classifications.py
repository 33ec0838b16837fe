"""The API of what mixtures are by law: results on file, a recipe version as it is known now, keeping it."""

from typing import Any

from django import forms
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from rest_framework import serializers

from safety.classifying import LAWS, studio_law, worked_out
from safety.forms.classifications import ClassifyVersionForm
from safety.mixes import canonical, digest, mix_of_version
from safety.models import Classification
from safety.operations.classifying import classify_version
from studio.api_kit import ListOf, One, Question, RowOut, act_at, row_of
from studio.api_kit.asking import RowNumber, one_of, words
from studio.people.doors import needs
from studio.people.rights import BINDER, SEE
from studio.recipes.models import Version

MIX = "parts of the dry mass: version, material or unknown, with share 0 to 1 as text"
INPUTS = "every substance with its mass percent as text, its classes and their source; what was assumed"
RESULT = "classes, label elements and the reasoning of each: rule, limit and sum in mass percent as text"


class ClassificationOut(RowOut):
    """What a mixture is by one country's rules, as it was worked out then; it never changes."""

    name = serializers.CharField(source="__str__", help_text="K and its number")
    mix = serializers.JSONField(help_text=MIX)
    inputs = serializers.JSONField(help_text=INPUTS)
    result = serializers.JSONField(help_text=RESULT)

    class Meta:
        model = Classification
        fields = [
            "id", "number", "name", "what", "mix", "mix_digest", "law", "rule_set", "inputs",
            "inputs_digest", "result", "assumed", "missing", "why", "by", "at",
        ]  # fmt: skip


class HazardsOut(serializers.Serializer):
    """What a recipe version is by the sheets on file now. Nothing of it is kept."""

    law = serializers.CharField(help_text="EU, US or UN")
    rule_set = serializers.CharField()
    mix = serializers.JSONField(help_text=MIX)
    inputs = serializers.JSONField(help_text=INPUTS)
    result = serializers.JSONField(help_text=RESULT)
    assumed = serializers.ListField(child=serializers.CharField(), help_text="what was assumed")
    missing = serializers.ListField(child=serializers.CharField(), help_text="what is not classified")


LAW_CHOICES = [(law, law) for law in LAWS]


class ClassificationsAsked(forms.Form):
    law = one_of("By the rules of this law", LAW_CHOICES)
    version = RowNumber("Of this recipe version by itself")
    mix_digest = words("Of the mixture with this digest", 64)


class HazardsAsked(forms.Form):
    law = one_of("By the rules of this law; the studio's own without it", LAW_CHOICES)


@needs(SEE)
class Classifications(ListOf):
    """Results on file, newest first: the newest of a mixture under a law is the one that stands."""

    operation = "classifications"
    query = ClassificationsAsked
    queryset = Classification.objects.all()
    serializer_class = ClassificationOut

    def narrow(self, rows: Any, **asked: Any) -> Any:
        if (version := asked.pop("version")) is not None:
            rows = rows.filter(mix_digest=digest(mix_of_version(version)))
        return super().narrow(rows, **asked)


@needs(SEE)
class OneClassification(One):
    """One result by its number."""

    operation = "classification"
    queryset = Classification.objects.all()
    serializer_class = ClassificationOut
    lookup_field = "number"


@needs(SEE)
class HazardsOfVersion(Question):
    """What a recipe version is by the sheets on file now."""

    operation = "hazards_of_version"
    query = HazardsAsked
    output = HazardsOut

    def find(self, pk: int, law: str) -> dict[str, Any]:
        version = get_object_or_404(Version, pk=pk)
        worked = worked_out([mix_of_version(version)], law or studio_law())[0]
        return {
            "law": worked.law,
            "rule_set": worked.rule_set,
            "mix": canonical(worked.mix),
            "inputs": worked.inputs,
            "result": worked.result.as_plain(),
            "assumed": list(worked.assumed),
            "missing": list(worked.missing),
        }


VERSION = "versions/<int:pk>/"
the_version = row_of("version", Version.objects.select_related("recipe"))

urlpatterns: list[URLPattern] = [
    path("classifications/", Classifications.as_view(), name="api-classifications"),
    path("classifications/<int:number>/", OneClassification.as_view(), name="api-classification"),
    path(f"{VERSION}hazards/", HazardsOfVersion.as_view(), name="api-hazards-of-version"),
    act_at(
        VERSION,
        classify_version,
        right=BINDER,
        form=ClassifyVersionForm,
        output=ClassificationOut,
        about=the_version,
    ),
]
