"""The API of what several apps know together: what is due."""

from typing import Any

from django.urls import URLPattern, path
from django.utils import timezone
from rest_framework import serializers

from studio.api_kit import Question
from studio.front.due import due
from studio.people.doors import needs
from studio.people.rights import MAKE
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


urlpatterns: list[URLPattern] = [path("due/", WhatIsDue.as_view(), name="api-due")]
