"""The API of making into a bucket: what a wish comes to, asking, beginning, abandoning, pouring."""

from typing import Any
from uuid import uuid4

from django.shortcuts import get_object_or_404
from django.urls import path
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from batches import urls  # noqa: F401 - registers the converter "batch"
from batches.making_api import BatchOut
from batches.models import Batch
from batches.operations.requests import ask_for_glaze
from batches.queries import stock_of
from batches.request_api import RequestOut, amount
from buckets.forms.asking import AskForm
from buckets.forms.making import AbandonForm, BeginForm, PourForm, fill_of
from buckets.operations import pouring
from buckets.serializers import FillOut
from studio.api_kit import Invalid, Problem, act_view, form_data, serializer_of
from studio.people.doors import needs


class PlanLineOut(serializers.Serializer):
    """One line to weigh."""

    position = serializers.IntegerField()
    kind = serializers.CharField(help_text="base or addition")
    material = serializers.CharField(source="name")
    pct_of_base = amount(4, "% of the base")
    share_pct = amount(4, "% of the whole dry recipe")
    target_g = amount(3, "g to weigh")
    band_g = amount(3, "± g within which it is accepted")
    scale = serializers.CharField(source="scale_name", help_text="empty: the room has no scale")
    loads = serializers.IntegerField()
    too_light = serializers.BooleanField(help_text="under the smallest sensible weight of every scale")
    hazard_words = serializers.CharField(help_text="from the material list, not yet classified")


class StockOut(serializers.Serializer):
    """How a material stands."""

    material = serializers.CharField(source="name")
    need_g = amount(3, "g needed over all lines")
    available_g = amount(3, "g in released lots and not promised")
    short_g = amount(3, "g missing; 0: enough")
    words = serializers.CharField()


class PlanOut(serializers.Serializer):
    """What a wish comes to."""

    base_g = amount(3, "g of base, the sum of its lines")
    dry_g = amount(3, "g of dry glaze in all, the sum of the lines")
    exact_dry_g = amount(4, "g of dry glaze before rounding to the scales")
    rounding_g = amount(4, "dry_g less exact_dry_g")
    water_l = amount(3, "L of water")
    first_water_l = amount(3, "L of it before any powder")
    kept_water_l = amount(3, "L of it kept back")
    to_volume_l = amount(3, "L afterwards")
    to_sg = amount(4, "specific gravity afterwards, no unit")
    old_volume_l = amount(3, "L in the bucket before")
    old_sg = amount(4, "specific gravity of that, no unit", allow_null=True)
    min_volume_l = amount(3, "L, the least the bucket can be brought to", allow_null=True)
    thin_water_l = amount(3, "L of water that would thin it without powder", allow_null=True)
    thin_volume_l = amount(3, "L it would then be", allow_null=True)
    slurry_kg = amount(3, "kg of glaze afterwards")
    gross_kg = amount(3, "kg with the bucket", allow_null=True)
    first_gross_kg = amount(3, "kg with the bucket after powder and first water", allow_null=True)
    fill_pct = amount(1, "% of the brim", allow_null=True)
    limit_l = amount(3, "L up to the fill limit", allow_null=True)
    heavy = serializers.BooleanField(help_text="over 15 kg: lift it with two")
    cost = amount(4, "in the studio's currency, at moving average")
    cost_per_l = amount(4, "for a litre that the powder makes", allow_null=True)
    lines = PlanLineOut(many=True)
    stock = StockOut(many=True)


@needs("ask")
class PlanOfWish(APIView):
    """What a wish would come to: the same body as asking; nothing is written."""

    @extend_schema(
        operation_id="plan_request",
        request=serializer_of(AskForm, "plan_requestInput"),
        responses={200: PlanOut, **{code: OpenApiResponse(Problem) for code in (400, 401, 403, 409, 422)}},
    )
    def post(self, request: Any) -> Response:
        form = AskForm(form_data(AskForm, request.data, uuid4()))
        if not form.is_valid():
            raise Invalid(form)
        plan = form.plan()
        stock = stock_of(plan)
        found = {name: getattr(plan, name) for name in PlanOut().fields if hasattr(plan, name)}
        found |= {"cost": stock.cost, "cost_per_l": stock.cost_per_l, "stock": stock.materials}
        return Response(PlanOut(found).data)


def _batch(request: Any, number: str) -> dict[str, Any]:
    rows = Batch.objects.select_related("vessel", "version")
    return {"batch": get_object_or_404(rows, number=number)}


BATCH = "batches/<batch:number>/"

urlpatterns = [
    path("requests/plan/", PlanOfWish.as_view(), name="api-plan-request"),
    path(
        "requests/ask-for-glaze/",
        act_view("ask_for_glaze", right="ask", form=AskForm, do=ask_for_glaze, output=RequestOut),
        name="api-ask-for-glaze",
    ),
    path(
        f"{BATCH}begin-batch/",
        act_view(
            "begin_batch",
            right="weigh",
            form=BeginForm,
            do=pouring.begin_batch,
            output=BatchOut,
            about=_batch,
            form_kwargs=lambda _, rows: {**rows, "there": fill_of(rows["batch"])},
        ),
        name="api-begin-batch",
    ),
    path(
        f"{BATCH}abandon-in-bucket/",
        act_view(
            "abandon_in_bucket",
            right="make",
            form=AbandonForm,
            do=pouring.abandon_in_bucket,
            output=BatchOut,
            about=_batch,
        ),
        name="api-abandon-in-bucket",
    ),
    path(
        f"{BATCH}pour-batch/",
        act_view(
            "pour_batch",
            right="make",
            form=PourForm,
            do=pouring.pour_batch,
            output=FillOut,
            about=_batch,
        ),
        name="api-pour-batch",
    ),
]
