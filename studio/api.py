"""The API at /api/v1/: every app's acts and questions, and the description of them for programs and people.

The description is open to all: it tells what the program can do, nothing of the studio in it.
"""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import include, path
from django.views.decorators.http import require_safe
from rest_framework.response import Response

from studio.api_kit.docs import refusals, sections, shapes
from studio.api_kit.schema import whole_schema
from studio.api_kit.views import View
from studio.people.doors import open_to_all


@open_to_all
class Schema(View):
    """The OpenAPI description of this API."""

    schema = None  # it does not describe itself

    def get(self, request: Any) -> Response:
        return Response(whole_schema())


@open_to_all
@require_safe
def docs(request: HttpRequest) -> HttpResponse:
    """The same description, to read."""
    context = {"sections": sections(), "shapes": shapes(), "refusals": refusals()}
    return render(request, "api/docs.html", context)


APPS = (
    "studio.people",
    "studio.room",
    "studio.materials",
    "studio.recipes",
    "safety",
    "batches",
    "buckets",
    "studio.front",
)

urlpatterns = [
    path("schema/", Schema.as_view(), name="api-schema"),
    path("docs/", docs, name="api-docs"),
    *(path("", include(f"{app}.api")) for app in APPS),
]
