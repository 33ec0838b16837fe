"""The API of a batch being made: the same acts as the bench and the batch page."""

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import path
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import generics, serializers

from batches import urls  # noqa: F401 - registers the converter "batch"
from batches.forms.bench import WeighForm
from batches.forms.wet import BatchReadingForm, DecisionForm, GrossForm, ReasonForm, SieveForm, WaterForm
from batches.models import Batch, Line, Step, Weighing
from batches.operations import batches as acts
from batches.operations import weighing, wet
from studio.api_kit import Pages, Problem, act_view
from studio.fields import ActForm
from studio.people.doors import needs


class LineOut(serializers.ModelSerializer):
    """One line of a batch. Masses in grams, ``share_pct`` of the whole dry recipe."""

    material = serializers.CharField(source="name")
    scale = serializers.CharField(source="scale.name", default=None, allow_null=True)

    class Meta:
        model = Line
        fields = [
            "position", "kind", "material", "hazard_words", "share_pct", "target_g", "band_g", "scale",
            "loads", "weighed_g", "done_at",
        ]  # fmt: skip


class BatchOut(serializers.ModelSerializer):
    """A batch. Masses in grams, volumes in litres, SG against water of the same temperature."""

    recipe = serializers.CharField(source="copy.name")
    version = serializers.IntegerField(source="copy.version")
    vessel = serializers.CharField(source="vessel.code", default=None, allow_null=True)
    lines = LineOut(many=True)

    class Meta:
        model = Batch
        fields = [
            "number", "recipe", "version", "vessel", "state", "held_at", "held_reason", "frozen_at", "base_g",
            "dry_g", "water_l", "first_water_l", "to_volume_l", "to_sg", "half_window", "particle_density",
            "old_volume_l", "old_sg", "lines",
        ]  # fmt: skip


class StepOut(serializers.ModelSerializer):
    """A wet step: water (L), sieve (mesh), reading (SG, L, cm) or gross weight (g)."""

    batch = serializers.CharField(source="batch.number")

    class Meta:
        model = Step
        fields = [
            "id",
            "batch",
            "kind",
            "water_l",
            "mesh",
            "depth_cm",
            "volume_l",
            "sg",
            "u_sg",
            "gross_g",
            "at",
        ]


class WeighingOut(serializers.ModelSerializer):
    """One pot of powder, net grams, from one lot."""

    batch = serializers.CharField(source="line.batch.number")
    line = serializers.IntegerField(source="line.position")
    lot = serializers.CharField(source="lot.code")

    class Meta:
        model = Weighing
        fields = ["id", "batch", "line", "lot", "net_g", "at"]


BATCHES = Batch.objects.select_related("vessel").prefetch_related("lines__scale")


@needs("see")
class BatchList(generics.ListAPIView):
    """Batches, newest first."""

    queryset = BATCHES
    serializer_class = BatchOut
    pagination_class = Pages


@needs("see")
@extend_schema(responses={200: BatchOut, 404: OpenApiResponse(Problem)})
class BatchOne(generics.RetrieveAPIView):
    """One batch by its number."""

    queryset = BATCHES
    serializer_class = BatchOut
    lookup_field = "number"


def _batch(request, number):
    return {"batch": get_object_or_404(Batch.objects.select_related("vessel"), number=number)}


def _line(request, number, position):
    return {"line": get_object_or_404(Line, batch__number=number, position=position)}


def _weighing(request, number, pk):
    row = get_object_or_404(Weighing.objects.select_related("line__batch", "lot", "movement"), pk=pk)
    if row.line.batch.number != number:
        raise Http404
    return {"weighing": row}


def _step(request, number, pk):
    return {"step": get_object_or_404(Step.objects.select_related("batch"), pk=pk, batch__number=number)}


def _of_batch(name, right, form, do, output=BatchOut):
    return act_view(name, right=right, form=form, do=do, output=output, about=_batch)


ONE = "batches/<batch:number>/"

urlpatterns = [
    path("batches/", BatchList.as_view(), name="api-batches"),
    path(ONE, BatchOne.as_view(), name="api-batch"),
    path(
        ONE + "lines/<int:position>/weigh/",
        act_view(
            "weigh_line",
            right="weigh",
            form=WeighForm,
            do=weighing.weigh_line,
            output=WeighingOut,
            about=_line,
            form_kwargs=lambda request, rows: {"line": rows["line"]},
        ),
        name="api-weigh-line",
    ),
    path(
        ONE + "weighings/<int:pk>/take-back/",
        act_view(
            "take_back_weighing",
            right="weigh",
            form=ReasonForm,
            do=weighing.take_back_weighing,
            output=WeighingOut,
            about=_weighing,
        ),
        name="api-take-back-weighing",
    ),
    path(
        ONE + "steps/<int:pk>/take-back/",
        act_view(
            "take_back_step", right="wet", form=ReasonForm, do=wet.take_back_step, output=StepOut, about=_step
        ),
        name="api-take-back-step",
    ),
    path(
        ONE + "water/", _of_batch("add_water", "wet", WaterForm, wet.add_water, StepOut), name="api-add-water"
    ),
    path(
        ONE + "sieve/",
        _of_batch("sieve_batch", "wet", SieveForm, wet.sieve_batch, StepOut),
        name="api-sieve-batch",
    ),
    path(
        ONE + "weigh-bucket/",
        _of_batch("weigh_bucket", "wet", GrossForm, wet.weigh_bucket, StepOut),
        name="api-weigh-bucket",
    ),
    path(
        ONE + "reading/",
        _of_batch("record_batch_reading", "wet", BatchReadingForm, wet.record_batch_reading, StepOut),
        name="api-record-batch-reading",
    ),
    path(
        ONE + "pause/", _of_batch("pause_batch", "weigh", ActForm, acts.pause_batch), name="api-pause-batch"
    ),
    path(
        ONE + "resume/",
        _of_batch("resume_batch", "weigh", ActForm, acts.resume_batch),
        name="api-resume-batch",
    ),
    path(ONE + "hold/", _of_batch("hold_batch", "weigh", ReasonForm, acts.hold_batch), name="api-hold-batch"),
    path(
        ONE + "lift/", _of_batch("lift_batch", "make", DecisionForm, acts.lift_batch), name="api-lift-batch"
    ),
    path(
        ONE + "reject/",
        _of_batch("reject_batch", "make", ReasonForm, acts.reject_batch),
        name="api-reject-batch",
    ),
]
