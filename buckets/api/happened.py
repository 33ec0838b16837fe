"""What happened to a fill, for programs: intervals, what was left over, where the litres went, and why."""

from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from rest_framework import serializers

from buckets import balance
from buckets.api.lists import OfFill
from buckets.api.on import FILL, on_row
from buckets.balance import Balance
from buckets.calc.history import is_unexplained, limit_of
from buckets.calc.loss import TIMES_U, U_LOST_L, U_USED_L
from buckets.forms.explaining import ExplainForm, MoveReadingForm
from buckets.happenings import explained
from buckets.models import Explanation, Fill, Interval, Reading
from buckets.operations.explaining import explain_reading, move_reading
from buckets.serializers import ReadingOut
from buckets.views.parts.happened import WEEKS
from studio.api_kit import Question, RowOut, amount
from studio.people.doors import needs
from studio.people.rights import SEE, USE


class LoggedOut(serializers.Serializer):
    """One thing written down between two readings."""

    at = serializers.DateTimeField()
    what = serializers.CharField(help_text="water in, powder in, the additive …")
    change_l = amount("L it changed the bucket by, signed", source="l")


class IntervalOut(RowOut):
    """From one technician's reading to the next: what was to be expected, and what came."""

    predicted_sg = amount("specific gravity expected, no unit; null: none", places=4, allow_null=True)
    residual = amount("reading minus expected, no unit; null: none is formed", places=5, allow_null=True)
    used_l = amount("L of glaze written down as taken out")
    added_l = amount("L that what was written down changed the bucket by, signed")
    added_g = amount("g that it changed the bucket by, signed")
    logged = LoggedOut(many=True)
    explained = serializers.BooleanField(help_text="a person has said why it was not as expected")
    unexplained = serializers.SerializerMethodField(help_text="beyond the usual, and not explained")

    class Meta:
        model = Interval
        fields = [
            "id", "fill", "since", "reading", "at", "predicted_sg", "residual", "begins_segment", "used_l",
            "added_l", "added_g", "logged", "explained", "unexplained",
        ]  # fmt: skip

    def get_unexplained(self, row: Any) -> bool:
        fill = row.fill
        beyond = is_unexplained(row.residual, count=fill.residual_count, total=fill.residual_sum)
        return beyond and not row.explained


class ExplanationOut(RowOut):
    """Why a reading was not as expected."""

    volume_l = amount("L of water not written down; negative: lost", allow_null=True)

    class Meta:
        model = Explanation
        fields = ["id", "reading", "why", "volume_l", "note", "raw", "by", "at"]


class BalanceOut(serializers.Serializer):
    """Where the litres went between two measured levels; null where it cannot be told."""

    since = serializers.DateTimeField()
    until = serializers.DateTimeField()
    logged_l = amount("L of glaze written down as taken out")
    used_l = amount("L of glaze used", allow_null=True)
    used_low_l = amount("L, its lower bound by what went first", allow_null=True)
    used_high_l = amount("L, its upper bound", allow_null=True)
    water_lost_l = amount("L of water lost; null too where it is within its doubt", allow_null=True)
    water_appeared = serializers.BooleanField(help_text="more water is in it than was, beyond doubt")
    doubt_used_l = amount("L, ± of what was used (k = 2)")
    doubt_lost_l = amount("L, ± of the water lost (k = 2)")
    missing = serializers.CharField(allow_blank=True, help_text="why it cannot be told")
    said = serializers.ListField(child=serializers.CharField(), help_text="the same in sentences")


class WaterBalanceOut(serializers.Serializer):
    """Between the newest two readings, and over the last weeks as far as it can be told."""

    limit = amount("how much may usually be left over, ±, no unit", places=5)
    newest = BalanceOut(allow_null=True)
    weeks = BalanceOut(allow_null=True)


@needs(SEE)
class IntervalsOfFill(OfFill):
    """What was expected of each reading of a fill, and what came; newest first."""

    operation = "intervals_of_fill"
    queryset = Interval.objects.select_related("fill")
    serializer_class = IntervalOut

    def narrow(self, rows: QuerySet[Any], **asked: Any) -> QuerySet[Any]:
        return explained(super().narrow(rows, **asked))


@needs(SEE)
class WaterBalance(Question):
    """Water lost against glaze used, between levels that were measured."""

    operation = "water_balance"
    output = WaterBalanceOut

    def find(self, pk: int) -> dict[str, Any]:
        fill = get_object_or_404(Fill, pk=pk)
        gaps = balance.newest_gaps(fill.pk)
        asked = [gap.reading for gap in gaps if _asked(fill, gap)]
        weeks = balance.of_weeks(gaps, gaps[0].at - WEEKS, asked=asked) if gaps else None
        return {
            "limit": limit_of(count=fill.residual_count, total=fill.residual_sum),
            "newest": _out(balance.of_pair(gaps[0])) if gaps else None,
            "weeks": _out(weeks) if weeks else None,
        }


def _asked(fill: Fill, gap: balance.Gap) -> bool:
    beyond = is_unexplained(gap.residual, count=fill.residual_count, total=fill.residual_sum)
    return beyond and not gap.explained


def _out(found: Balance) -> dict[str, Any]:
    loss = found.loss
    bounds = sorted((loss.used_if_evaporated_first_l, loss.used_if_used_first_l)) if loss else (None, None)
    return {
        "since": found.since,
        "until": found.until,
        "logged_l": found.logged_l,
        "used_l": loss.used_l if loss else None,
        "used_low_l": bounds[0],
        "used_high_l": bounds[1],
        "water_lost_l": loss.water_lost_l if loss and found.lost else None,
        "water_appeared": found.appeared,
        "doubt_used_l": TIMES_U * U_USED_L,
        "doubt_lost_l": TIMES_U * U_LOST_L,
        "missing": found.missing,
        "said": balance.sentences(found),
    }


urlpatterns: list[URLPattern] = [
    path(f"{FILL}intervals/", IntervalsOfFill.as_view(), name="api-intervals"),
    path(f"{FILL}water-balance/", WaterBalance.as_view(), name="api-water-balance"),
    on_row("readings", "reading", Reading, explain_reading, ExplanationOut, ExplainForm, USE),
    on_row("readings", "reading", Reading, move_reading, ReadingOut, MoveReadingForm, USE),
]
