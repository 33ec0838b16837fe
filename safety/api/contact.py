"""The API of leach tests: read, recorded (the report itself comes by page), corrected."""

from typing import Any

from django import forms
from django.urls import URLPattern, path
from rest_framework import serializers

from safety.contact import said_of_versions
from safety.forms.contact import LeachTestForm
from safety.models import LeachResult, LeachTest
from safety.operations.contact import correct_leach_test, record_leach_test
from studio.api_kit import ListOf, One, Question, RowOut, act_at, amount, row_of
from studio.api_kit.asking import RowNumber
from studio.people.doors import needs
from studio.people.rights import BINDER, SEE
from studio.recipes.models import Version


class LeachResultOut(RowOut):
    """What was found of one element on one piece; below: not found, and the value is the detection limit."""

    value = amount("in the unit beside it", 5)

    class Meta:
        model = LeachResult
        fields = ["piece", "element", "value", "unit", "below"]


class LeachTestOut(RowOut):
    """A leach test as its report says; one that a correction replaces is history."""

    results = LeachResultOut(many=True)
    hours = amount("hours the acid stood in it", 1)
    temperature_c = amount("degrees Celsius", 1, allow_null=True)

    class Meta:
        model = LeachTest
        fields = [
            "id", "number", "version", "replaces", "batch", "clay", "firing", "layers", "laboratory",
            "accreditation", "report_number", "reported_on", "method", "leachant", "hours", "temperature_c",
            "depth_mm", "volume_ml", "use", "pieces", "limit_set", "expires_on", "file_digest", "file_size",
            "note", "results", "by", "at",
        ]  # fmt: skip


class FoodOut(serializers.Serializer):
    """What may be said of a recipe version and food today, from the evidence on record."""

    state = serializers.CharField(help_text="untested, within, over or expired")
    label = serializers.CharField(help_text="the sentence on its label")
    until = serializers.DateField(allow_null=True, help_text="last day the sentence holds; null: no end")
    sentences = serializers.ListField(child=serializers.CharField(), help_text="all that may be said")


class LeachTestsAsked(forms.Form):
    version = RowNumber("Number of the recipe version")


@needs(SEE)
class LeachTests(ListOf):
    """Leach tests, newest first; corrected ones, too."""

    operation = "leach_tests"
    query = LeachTestsAsked
    queryset = LeachTest.objects.prefetch_related("results")
    serializer_class = LeachTestOut


@needs(SEE)
class OneLeachTest(One):
    """One leach test."""

    operation = "leach_test"
    queryset = LeachTest.objects.prefetch_related("results")
    serializer_class = LeachTestOut


@needs(SEE)
class FoodContact(Question):
    """What may be said of a recipe version and food today."""

    operation = "food_contact"
    output = FoodOut

    def find(self, pk: int, **asked: Any) -> Any:
        version = row_of("version", Version)(self.request, pk=pk)["version"]
        return said_of_versions([version.pk])[version.pk]


TEST = "leach-tests/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("leach-tests/", LeachTests.as_view(), name="api-leach-tests"),
    path(TEST, OneLeachTest.as_view(), name="api-leach-test"),
    path("versions/<int:pk>/food-contact/", FoodContact.as_view(), name="api-food-contact"),
    act_at("leach-tests/", record_leach_test, right=BINDER, form=LeachTestForm, output=LeachTestOut),
    act_at(
        TEST,
        correct_leach_test,
        right=BINDER,
        form=LeachTestForm,
        output=LeachTestOut,
        about=row_of("test", LeachTest),
    ),
]
