"""The API of this app: the same acts and questions as its pages."""

from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, serializers

from buckets import making_api
from buckets.forms import acting, holding, readings, taking_over
from buckets.models import Care, Fill, Reading, Report, Use
from buckets.operations import care, fills, reports
from buckets.operations import holding as holds
from buckets.operations import readings as measuring
from buckets.queries import open_fills, with_standing
from buckets.serializers import CareOut, FillOut, FillWithParents, ReadingOut, ReportOut, UseOut
from studio.api_kit import Pages, act_view
from studio.fields import ActForm
from studio.people.doors import needs
from studio.room import policy


class WithRules:
    """The rules in force are read once a request, not once a fill."""

    def get_serializer_context(self) -> dict[str, Any]:
        context: dict[str, Any] = super().get_serializer_context()  # type: ignore[misc]
        return {**context, "rules": policy.in_force()}


@needs("see")
@extend_schema(
    operation_id="fills_list",
    parameters=[OpenApiParameter("all", bool, description="true: emptied ones, too")],
)
class Fills(WithRules, generics.ListAPIView):
    """What is in the buckets now, each with its dip check; newest first."""

    queryset = Fill.objects.none()
    serializer_class = FillOut
    pagination_class = Pages

    def get_queryset(self) -> QuerySet[Fill]:
        return with_standing(Fill.objects.all()) if self.request.GET.get("all") == "true" else open_fills()


@needs("see")
@extend_schema(operation_id="fill")
class OneFill(WithRules, generics.RetrieveAPIView):
    """One fill with its parents and its dip check."""

    queryset = with_standing(Fill.objects.all()).prefetch_related("parents")
    serializer_class = FillWithParents


class OfFill(generics.ListAPIView):
    """Rows of one fill, newest first."""

    pagination_class = Pages
    queryset: QuerySet[Any]

    def get_queryset(self) -> QuerySet[Any]:
        if getattr(self, "swagger_fake_view", False):
            return self.queryset.none()
        return self.queryset.filter(fill=get_object_or_404(Fill, pk=self.kwargs["pk"]))


@needs("see")
@extend_schema(operation_id="readings_of_fill")
class Readings(OfFill):
    """Readings of a fill, taken back ones and what took them back included."""

    queryset = Reading.objects.all()
    serializer_class = ReadingOut


@needs("see")
@extend_schema(operation_id="care_of_fill")
class CareOfFill(OfFill):
    """What was done to a fill."""

    queryset = Care.objects.all()
    serializer_class = CareOut


@needs("see")
@extend_schema(operation_id="uses_of_fill")
class Uses(OfFill):
    """What was used from a fill."""

    queryset = Use.objects.all()
    serializer_class = UseOut


@needs("see")
@extend_schema(operation_id="reports_of_fill")
class Reports(OfFill):
    """What was reported about a fill, with the answers."""

    queryset = Report.objects.all()
    serializer_class = ReportOut


def _fill(request: Any, pk: int) -> dict[str, Any]:
    return {"fill": get_object_or_404(Fill.objects.select_related("vessel"), pk=pk)}


def _on_fill(
    name: str,
    right: str,
    form: type[ActForm],
    do: Any,
    output: type[serializers.Serializer] = FillOut,
) -> Any:
    """An act on the fill in the address."""
    return act_view(
        name, right=right, form=form, do=do, output=output, about=_fill, form_kwargs=lambda _, about: about
    )


def _of(model: Any, name: str) -> Any:
    def fetch(request: Any, pk: int) -> dict[str, Any]:
        return {name: get_object_or_404(model.objects.select_related("fill__vessel"), pk=pk)}

    return fetch


def _take_back(name: str, model: Any, about: str, do: Any, output: type[serializers.Serializer]) -> Any:
    return act_view(
        name, right="use", form=acting.TakeBackForm, do=do, output=output, about=_of(model, about)
    )


FILL = "fills/<int:pk>/"

urlpatterns: list[URLPattern] = [
    *making_api.urlpatterns,
    path("fills/", Fills.as_view(), name="api-fills"),
    path(
        "fills/take-over-bucket/",
        act_view(
            "take_over_bucket",
            right="make",
            form=taking_over.TakeOverForm,
            do=fills.take_over_bucket,
            output=FillOut,
        ),
        name="api-take-over-bucket",
    ),
    path(FILL, OneFill.as_view(), name="api-fill"),
    path(f"{FILL}readings/", Readings.as_view(), name="api-readings"),
    path(f"{FILL}care/", CareOfFill.as_view(), name="api-care"),
    path(f"{FILL}uses/", Uses.as_view(), name="api-uses"),
    path(f"{FILL}reports/", Reports.as_view(), name="api-reports"),
    path(f"{FILL}stir/", _on_fill("stir", "use", acting.StirForm, care.stir, CareOut), name="api-stir"),
    path(
        f"{FILL}water-in/",
        _on_fill("water_in", "wet", acting.WaterForm, care.water_in, CareOut),
        name="api-water-in",
    ),
    path(
        f"{FILL}sieve-fill/",
        _on_fill("sieve_fill", "wet", acting.SieveForm, care.sieve_fill, CareOut),
        name="api-sieve-fill",
    ),
    path(
        f"{FILL}log-use/",
        _on_fill("log_use", "use", acting.UseForm, care.log_use, UseOut),
        name="api-log-use",
    ),
    path(
        f"{FILL}record-reading/",
        _on_fill("record_reading", "use", readings.ReadingForm, measuring.record_reading, ReadingOut),
        name="api-record-reading",
    ),
    path(
        f"{FILL}report/",
        _on_fill("report", "see", holding.ReportForm, reports.report, ReportOut),
        name="api-report",
    ),
    path(
        f"{FILL}empty-fill/",
        _on_fill("empty_fill", "make", acting.EmptyForm, fills.empty_fill),
        name="api-empty-fill",
    ),
    path(
        f"{FILL}hold-fill/",
        _on_fill("hold_fill", "make", holding.HoldForm, holds.hold_fill),
        name="api-hold-fill",
    ),
    path(
        f"{FILL}lift-hold/",
        _on_fill("lift_hold", "make", holding.LiftForm, holds.lift_hold),
        name="api-lift-hold",
    ),
    path(
        f"{FILL}release-fill/",
        _on_fill("release_fill", "make", holding.ReleaseForm, holds.release_fill),
        name="api-release-fill",
    ),
    path(
        "readings/<int:pk>/take-back-reading/",
        _take_back("take_back_reading", Reading, "reading", measuring.take_back_reading, ReadingOut),
        name="api-take-back-reading",
    ),
    path(
        "care/<int:pk>/take-back-care/",
        _take_back("take_back_care", Care, "care", care.take_back_care, CareOut),
        name="api-take-back-care",
    ),
    path(
        "uses/<int:pk>/take-back-use/",
        _take_back("take_back_use", Use, "use", care.take_back_use, UseOut),
        name="api-take-back-use",
    ),
    path(
        "reports/<int:pk>/answer-report/",
        act_view(
            "answer_report",
            right="make",
            form=holding.AnswerReportForm,
            do=reports.answer_report,
            output=ReportOut,
            about=_of(Report, "report"),
        ),
        name="api-answer-report",
    ),
]
