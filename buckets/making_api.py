"""The API of making into a bucket: what a wish comes to, asking, beginning, abandoning, pouring."""

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path

from batches import planning, urls  # noqa: F401 - urls registers the converter "batch"
from batches.models import Batch
from batches.operations.requests import ask_for_glaze
from batches.request_api import plan_out
from batches.serializers import BatchOut, PlanOut, RequestOut
from buckets.forms.asking import AskForm
from buckets.forms.making import AbandonForm, BeginForm, PourForm, fill_of
from buckets.operations import pouring
from buckets.serializers import FillOut
from studio.api_kit import AskedWithBody, act_at, row_of
from studio.people.doors import needs
from studio.people.rights import ASK, MAKE, WEIGH

BATCHES = Batch.objects.select_related("vessel", "version")


@needs(ASK)
class PlanOfWish(AskedWithBody):
    """What a wish would come to: the same body as asking; nothing is written."""

    operation = "plan_request"
    form_class = AskForm
    output = PlanOut

    def find(self, form: Any) -> dict[str, Any]:
        return plan_out(form.plan())


@needs(WEIGH)
class PlanOfBatch(AskedWithBody):
    """What a planned batch comes to for the bucket as it is now: the same body as beginning it."""

    operation = "plan_begin"
    form_class = BeginForm
    output = PlanOut

    def form_kwargs(self, number: str) -> dict[str, Any]:
        return _measured(self.request, {"batch": get_object_or_404(BATCHES, number=number)})

    def find(self, form: Any, number: str) -> dict[str, Any]:
        told = form.cleaned_data
        return plan_out(
            planning.restated(
                form.batch, old_volume_l=told["told_l"], old_sg=told["sg"] if form.there else None
            )
        )


def _measured(request: Any, rows: dict[str, Any]) -> dict[str, Any]:
    """The form is told what is in the bucket: of an empty one nothing is asked."""
    return {**rows, "there": fill_of(rows["batch"])}


_batch = row_of("batch", BATCHES)
BATCH = "batches/<batch:number>/"

urlpatterns: list[URLPattern] = [
    path("requests/plan/", PlanOfWish.as_view(), name="api-plan-request"),
    act_at("requests/", ask_for_glaze, right=ASK, form=AskForm, output=RequestOut),
    path(f"{BATCH}plan-begin/", PlanOfBatch.as_view(), name="api-plan-begin"),
    act_at(
        BATCH, pouring.begin_batch, right=WEIGH, form=BeginForm, output=BatchOut, about=_batch,
        form_kwargs=_measured,
    ),
    act_at(
        BATCH, pouring.abandon_in_bucket, right=MAKE, form=AbandonForm, output=BatchOut, about=_batch
    ),
    act_at(BATCH, pouring.pour_batch, right=MAKE, form=PourForm, output=FillOut, about=_batch),
]  # fmt: skip
