"""The API of this app: the same acts and questions as its pages."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path

from buckets import making_api
from buckets import serializers as out
from buckets.advice import to_target
from buckets.api.lists import OfFill
from buckets.api.on import FILL, on_fill, on_row, the_fill
from buckets.forms import acting, caring, holding, readings, taking_over
from buckets.models import Care, Fill, Reading, Use
from buckets.operations import care, fills, labels
from buckets.operations import holding as holds
from buckets.operations import readings as measuring
from buckets.queries import change_of, with_standing
from safety.api.labels import LabelOut
from studio.api_kit import ListOf, One, Question, act_at
from studio.api_kit.asking import one_of, words
from studio.fields import ActForm
from studio.people.doors import needs
from studio.people.rights import MAKE, SEE, USE, WET
from studio.room import policy


class FillsAsked(forms.Form):
    vessel = words("In the bucket with this code", 12)
    state = one_of("In this state", Fill.State.choices)
    all = one_of("true: emptied ones, too", [("true", "true"), ("false", "false")])


class WithRules:
    """The rules in force are read once a request, not once a fill."""

    def get_serializer_context(self) -> dict[str, Any]:
        context: dict[str, Any] = super().get_serializer_context()  # type: ignore[misc]
        return {**context, "rules": policy.in_force()}


@needs(SEE)
class Fills(WithRules, ListOf):
    """What is in the buckets now, each with its dip check; newest first."""

    operation = "fills"
    query = FillsAsked
    queryset = Fill.objects.all()
    serializer_class = out.FillOut

    def narrow(self, rows: QuerySet[Fill], **asked: Any) -> QuerySet[Fill]:
        if asked["all"] != "true" and asked["state"] != Fill.State.EMPTIED:
            rows = rows.filter(emptied_at=None)
        return super().narrow(with_standing(rows), vessel__code=asked["vessel"], state=asked["state"])


@needs(SEE)
class OneFill(WithRules, One):
    """One fill with its parents and its dip check."""

    operation = "fill"
    queryset = (
        with_standing(Fill.objects.all()).select_related("write_off").prefetch_related("parents__batch")
    )
    serializer_class = out.FillWithParents


@needs(SEE)
class DipCheckOfFill(Question):
    """May I dip into it now? The answer with its reasons, its age and until when it holds."""

    operation = "dip_check"
    output = out.DipCheckOut

    def find(self, pk: int) -> dict[str, Any]:
        fill = get_object_or_404(with_standing(Fill.objects.all()), pk=pk)
        return out.dip_check_out(fill, policy.in_force())


@needs(SEE)
class ToTargetOfFill(Question):
    """What to add to it, or take off, so that it comes to its target."""

    operation = "to_target"
    output = out.ToTargetOut

    def find(self, pk: int) -> dict[str, Any]:
        fill = get_object_or_404(with_standing(Fill.objects.all()), pk=pk)
        found = to_target(fill, float(policy.in_force().bed_solids_pct) / 100)
        facts = {name: getattr(found, name, None) for name in out.ToTargetOut().fields}
        known = {"way": found.way, "may_decant": found.may_decant} if found else {}
        return facts | {"way": "not known", "may_decant": False, "changed_at": change_of(fill).at} | known


@needs(SEE)
class Readings(OfFill):
    """Readings of a fill, taken back ones and what took them back included."""

    operation = "readings_of_fill"
    queryset = Reading.objects.select_related("fill")
    serializer_class = out.ReadingOut


@needs(SEE)
class OneReading(One):
    """One reading."""

    operation = "reading"
    queryset = Reading.objects.select_related("fill")
    serializer_class = out.ReadingOut


@needs(SEE)
class CareOfFill(OfFill):
    """What was done to a fill."""

    operation = "care_of_fill"
    queryset = Care.objects.all()
    serializer_class = out.CareOut


@needs(SEE)
class Uses(OfFill):
    """What was used from a fill."""

    operation = "uses_of_fill"
    queryset = Use.objects.all()
    serializer_class = out.UseOut


urlpatterns: list[URLPattern] = [
    *making_api.urlpatterns,
    path("fills/", Fills.as_view(), name="api-fills"),
    act_at("fills/", fills.take_over_bucket, right=MAKE, form=taking_over.TakeOverForm, output=out.FillOut),
    path(FILL, OneFill.as_view(), name="api-fill"),
    path(f"{FILL}dip-check/", DipCheckOfFill.as_view(), name="api-dip-check"),
    path(f"{FILL}to-target/", ToTargetOfFill.as_view(), name="api-to-target"),
    path(f"{FILL}readings/", Readings.as_view(), name="api-readings"),
    path(f"{FILL}care/", CareOfFill.as_view(), name="api-care"),
    path(f"{FILL}uses/", Uses.as_view(), name="api-uses"),
    on_fill(care.stir, USE, acting.StirForm, out.CareOut),
    on_fill(care.water_in, WET, acting.WaterForm, out.CareOut),
    on_fill(care.sieve_fill, WET, acting.SieveForm, out.CareOut),
    on_fill(care.log_use, USE, acting.UseForm, out.UseOut),
    on_fill(measuring.record_reading, USE, readings.ReadingForm, out.ReadingOut),
    on_fill(fills.empty_fill, MAKE, caring.EmptyForm),
    on_fill(holds.hold_fill, MAKE, holding.HoldForm),
    on_fill(holds.lift_hold, MAKE, holding.LiftForm),
    on_fill(holds.release_fill, MAKE, holding.ReleaseForm),
    act_at(FILL, labels.print_bucket_label, right=WET, form=ActForm, output=LabelOut, about=the_fill),
    path("readings/<int:pk>/", OneReading.as_view(), name="api-reading"),
    on_row("readings", "reading", Reading, measuring.take_back_reading, out.ReadingOut),
    on_row("care", "care", Care, care.take_back_care, out.CareOut),
    on_row("uses", "use", Use, care.take_back_use, out.UseOut),
]
