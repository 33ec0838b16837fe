"""The API of what several apps know together: what is due."""

from typing import Any

from django.urls import URLPattern, path
from django.utils import timezone
from rest_framework import serializers

from studio.api_kit import Question
from studio.front.due import due
from studio.front.outdated import outdated
from studio.people.doors import needs
from studio.people.rights import MAKE, SEE
from studio.room.steps import progress


class DueLine(serializers.Serializer):
    """Something that waits for a technician."""

    urgency = serializers.IntegerField(help_text="0 hurts first")
    what = serializers.CharField()
    why = serializers.CharField()
    address = serializers.CharField(help_text="the page with the act that clears it")


class DueOut(serializers.Serializer):
    """What is due, always in one page."""

    next = serializers.CharField(allow_null=True, help_text="null")
    previous = serializers.CharField(allow_null=True, help_text="null")
    results = DueLine(many=True)


@needs(MAKE)
class WhatIsDue(Question):
    """What is due today, most urgent first."""

    operation = "due"
    output = DueOut

    def find(self) -> dict[str, Any]:
        return {"next": None, "previous": None, "results": due(timezone.now(), progress())}


class OutdatedLabel(serializers.Serializer):
    """A label in force that does not say what is known now."""

    serial = serializers.CharField()
    purpose = serializers.CharField()
    vessel_code = serializers.CharField()
    reasons = serializers.ListField(child=serializers.CharField(), help_text="why, in sentences")
    printed_from = serializers.CharField(
        source="classification", allow_null=True, help_text="number of its classification; null: none then"
    )


class OutdatedOut(serializers.Serializer):
    """Labels out of date, always in one page."""

    next = serializers.CharField(allow_null=True, help_text="null")
    previous = serializers.CharField(allow_null=True, help_text="null")
    results = OutdatedLabel(many=True)


@needs(SEE)
class LabelsOutOfDate(Question):
    """Labels in force that do not say what is known now, the gravest first."""

    operation = "labels_out_of_date"
    output = OutdatedOut

    def find(self) -> dict[str, Any]:
        return {"next": None, "previous": None, "results": outdated()}


urlpatterns: list[URLPattern] = [
    path("due/", WhatIsDue.as_view(), name="api-due"),
    path("labels-out-of-date/", LabelsOutOfDate.as_view(), name="api-labels-out-of-date"),
]
