"""The API at /api/v1/: every app's acts and questions, and the schema that describes them."""

from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from studio.people.doors import open_to_all


@open_to_all
class Schema(SpectacularAPIView):
    """The OpenAPI description of this API."""


APPS = (
    "studio.people",
    "studio.room",
    "studio.materials",
    "studio.recipes",
    "safety",
    "batches",
    "buckets",
)
URLCONFS = [f"{app}.api" for app in APPS] + ["batches.making_api"]

urlpatterns = [path("schema/", Schema.as_view(), name="api-schema")] + [
    path("", include(urlconf)) for urlconf in URLCONFS
]
