"""The API at /api/v1/: every app's acts and questions, and the description of them for programs and people.

The description is open to all: it tells what the program can do, nothing of the studio in it.
"""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import include, path
from django.views.decorators.http import require_safe

from studio.api_kit.docs import refusals, sections, shapes
from studio.api_kit.schema import whole_schema
from studio.people.doors import open_to_all


@open_to_all
@require_safe
def schema(request: HttpRequest) -> JsonResponse:
    """The OpenAPI description of this API."""
    return JsonResponse(whole_schema())


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
    path("schema/", schema, name="api-schema"),
    path("docs/", docs, name="api-docs"),
    *(path("", include(f"{app}.api")) for app in APPS),
]
