"""The API of a batch being made: the same acts and questions as the bench and the batch page."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path

from batches import serializers as out
from batches import standing, urls  # noqa: F401 - urls registers the converter "batch"
from batches.forms.bench import WeighForm
from batches.forms.wet import BatchReadingForm, DecisionForm, GrossForm, ReasonForm, SieveForm, WaterForm
from batches.gates import to_let_through
from batches.models import Batch, Line, Step, Weighing
from batches.operations import batches as acts
from batches.operations import weighing, wet
from safety.api.sheets import AcknowledgementOut
from safety.forms.sheets import AcknowledgeForm
from safety.operations.sheets import acknowledge
from studio.api_kit import ListOf, One, Question, act_at, row_of
from studio.api_kit.asking import one_of, words
from studio.fields import ActForm
from studio.people.doors import needs
from studio.people.rights import BINDER, MAKE, SEE, WEIGH, WET

BATCHES = Batch.objects.select_related("vessel", "request").prefetch_related("lines__scale")


class BatchesAsked(forms.Form):
    state = one_of("In this state", Batch.State.choices)
    vessel = words("In the bucket with this code", 12)


@needs(SEE)
class Batches(ListOf):
    """Batches, newest first."""

    operation = "batches"
    query = BatchesAsked
    queryset = BATCHES
    serializer_class = out.BatchOut

    def narrow(self, rows: QuerySet[Batch], **asked: Any) -> QuerySet[Batch]:
        return super().narrow(rows, state=asked["state"], vessel__code=asked["vessel"])


@needs(SEE)
class OneBatch(One):
    """One batch by its number."""

    operation = "batch"
    queryset = BATCHES
    serializer_class = out.BatchOut
    lookup_field = "number"


class OfBatch(ListOf):
    """Rows of one batch, newest first."""

    of_batch = "batch"

    def narrow(self, rows: QuerySet[Any], **asked: Any) -> QuerySet[Any]:
        batch = get_object_or_404(Batch, number=self.kwargs["number"])
        return rows.filter(**{self.of_batch: batch})


@needs(SEE)
class Steps(OfBatch):
    """The wet steps of a batch, taken back ones and what took them back included."""

    operation = "steps_of_batch"
    queryset = Step.objects.select_related("batch")
    serializer_class = out.StepOut


@needs(SEE)
class Weighings(OfBatch):
    """What was weighed for a batch, taken back ones and what took them back included."""

    operation = "weighings_of_batch"
    of_batch = "line__batch"
    queryset = Weighing.objects.select_related("line__batch", "lot")
    serializer_class = out.WeighingOut


@needs(SEE)
class StandingOfBatch(Question):
    """How far a batch has come: what is in it, what it should weigh and read, and the water to its target."""

    operation = "batch_standing"
    output = out.BatchStandingOut

    def find(self, number: str) -> dict[str, Any]:
        batch = get_object_or_404(Batch.objects.select_related("vessel"), number=number)
        now = standing.standing(batch)
        return {**vars(now), "to_target": standing.to_target(batch, now)}


def _act(
    where: str, do: Any, right: str, form: type[ActForm], output: Any, about: Any, form_kwargs: Any = None
) -> URLPattern:
    return act_at(where, do, right=right, form=form, output=output, about=about, form_kwargs=form_kwargs)


def _line(request: Any, number: str, position: int) -> dict[str, Any]:
    return {"line": get_object_or_404(Line, batch__number=number, position=position)}


def _to_let_through(request: Any, number: str, position: int) -> dict[str, Any]:
    rows = Line.objects.select_related("batch", "material")
    return to_let_through(get_object_or_404(rows, batch__number=number, position=position))


def _weighing(request: Any, number: str, pk: int) -> dict[str, Any]:
    rows = Weighing.objects.select_related("line__batch", "lot", "movement")
    return {"weighing": get_object_or_404(rows, pk=pk, line__batch__number=number)}


def _step(request: Any, number: str, pk: int) -> dict[str, Any]:
    rows = Step.objects.select_related("batch")
    return {"step": get_object_or_404(rows, pk=pk, batch__number=number)}


_batch = row_of("batch", Batch.objects.select_related("vessel"))
ONE = "batches/<batch:number>/"

urlpatterns: list[URLPattern] = [
    path("batches/", Batches.as_view(), name="api-batches"),
    path(ONE, OneBatch.as_view(), name="api-batch"),
    path(f"{ONE}standing/", StandingOfBatch.as_view(), name="api-batch-standing"),
    path(f"{ONE}steps/", Steps.as_view(), name="api-steps-of-batch"),
    path(f"{ONE}weighings/", Weighings.as_view(), name="api-weighings-of-batch"),
    _act(
        f"{ONE}lines/<int:position>/", weighing.weigh_line, WEIGH, WeighForm, out.WeighingOut, _line,
        lambda request, rows: rows,
    ),
    _act(
        f"{ONE}lines/<int:position>/", acknowledge, BINDER, AcknowledgeForm, AcknowledgementOut,
        _to_let_through,
    ),
    _act(
        f"{ONE}weighings/<int:pk>/", weighing.take_back_weighing, WEIGH, ReasonForm, out.WeighingOut,
        _weighing,
    ),
    _act(f"{ONE}steps/<int:pk>/", wet.take_back_step, WET, ReasonForm, out.StepOut, _step),
    _act(ONE, wet.add_water, WET, WaterForm, out.StepOut, _batch),
    _act(ONE, wet.sieve_batch, WET, SieveForm, out.StepOut, _batch),
    _act(ONE, wet.weigh_bucket, WET, GrossForm, out.StepOut, _batch),
    _act(ONE, wet.record_batch_reading, WET, BatchReadingForm, out.StepOut, _batch),
    _act(ONE, acts.pause_batch, WEIGH, ActForm, out.BatchOut, _batch),
    _act(ONE, acts.resume_batch, WEIGH, ActForm, out.BatchOut, _batch),
    _act(ONE, acts.hold_batch, WEIGH, ReasonForm, out.BatchOut, _batch),
    _act(ONE, acts.lift_batch, MAKE, DecisionForm, out.BatchOut, _batch),
    _act(ONE, acts.reject_batch, MAKE, ReasonForm, out.BatchOut, _batch),
]  # fmt: skip
