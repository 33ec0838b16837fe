"""The API of requests: read, approved, declined, withdrawn. Asking reads the bucket, so it is in buckets."""

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import path
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import generics, serializers

from batches.forms.requests import DeclineForm
from batches.making_api import BatchOut
from batches.models import Request
from batches.operations import requests as acts
from studio.api_kit import Pages, Problem, act_view
from studio.fields import ActForm
from studio.people.doors import needs


def amount(places: int, said: str, **more: Any) -> serializers.DecimalField:
    """A number with its unit in the description."""
    return serializers.DecimalField(max_digits=19, decimal_places=places, help_text=said, **more)


class RequestOut(serializers.ModelSerializer):
    """A wish for glaze, as it was worked out when it was asked."""

    recipe = serializers.CharField(source="version.recipe.name")
    version_number = serializers.IntegerField(source="version.number")
    vessel = serializers.CharField(source="vessel.code", default=None, allow_null=True)
    batch = serializers.CharField(source="batch.number", default=None, allow_null=True)
    dry_g = amount(3, "g of dry glaze, additions included")
    base_g = amount(3, "g of it base")
    water_l = amount(3, "L of water")
    to_volume_l = amount(3, "L afterwards, old glaze included")
    to_sg = amount(4, "specific gravity to make it to, no unit")
    old_volume_l = amount(3, "L that were in the bucket, as told")
    old_sg = amount(4, "specific gravity of that, no unit", allow_null=True)

    class Meta:
        model = Request
        fields = [
            "number", "state", "wish", "recipe", "version", "version_number", "dry_g", "base_g", "water_l",
            "to_volume_l", "to_sg", "vessel", "old_volume_l", "old_sg", "why", "wanted_on", "by", "at",
            "decided_by", "decided_at", "reason", "batch",
        ]  # fmt: skip


REQUESTS = Request.objects.select_related("version__recipe", "vessel", "batch")


@needs("see")
@extend_schema(operation_id="requests_list")
class RequestList(generics.ListAPIView):
    """Requests, newest first."""

    queryset = REQUESTS
    serializer_class = RequestOut
    pagination_class = Pages


@needs("see")
@extend_schema(operation_id="request", responses={200: RequestOut, 404: OpenApiResponse(Problem)})
class OneRequest(generics.RetrieveAPIView):
    """One request by its number."""

    queryset = REQUESTS
    serializer_class = RequestOut
    lookup_field = "number"


def _request(request: Any, number: int) -> dict[str, Any]:
    return {"request": get_object_or_404(Request, number=number)}


ONE = "requests/<int:number>/"

urlpatterns = [
    path("requests/", RequestList.as_view(), name="api-requests"),
    path(ONE, OneRequest.as_view(), name="api-request"),
    path(
        f"{ONE}approve-request/",
        act_view(
            "approve_request",
            right="make",
            form=ActForm,
            do=acts.approve_request,
            output=BatchOut,
            about=_request,
        ),
        name="api-approve-request",
    ),
    path(
        f"{ONE}decline-request/",
        act_view(
            "decline_request",
            right="make",
            form=DeclineForm,
            do=acts.decline_request,
            output=RequestOut,
            about=_request,
        ),
        name="api-decline-request",
    ),
    path(
        f"{ONE}withdraw-request/",
        act_view(
            "withdraw_request",
            right="ask",
            form=ActForm,
            do=acts.withdraw_request,
            output=RequestOut,
            about=_request,
        ),
        name="api-withdraw-request",
    ),
]
