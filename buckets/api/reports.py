"""Reports, the descent of buckets and lots, and holds of a lot, for programs. Photos come by the page."""

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import URLPattern, path
from rest_framework import serializers

from buckets import serializers as out
from buckets.api.lists import OfFill
from buckets.api.on import FILL, on_fill, on_row
from buckets.doubt import Uses, doubt_of
from buckets.forms import reports as forms
from buckets.models import Fill, HeldByLot, LotHold, Photo, Report
from buckets.operations import lots, reports
from buckets.trace import origins, spread
from buckets.worst import Found, worst_in
from studio.api_kit import AskedWithBody, One, Question, RowOut, act_at, amount, row_of
from studio.materials.models import Lot
from studio.people.doors import needs
from studio.people.rights import MAKE, SEE


class PhotoOut(RowOut):
    """A photo of a report; the file is at /shelf/photos/<id>/large/ for people who are signed in."""

    class Meta:
        model = Photo
        fields = ["id", "digest", "small_digest", "width", "height"]


class ReportOut(RowOut):
    """Something was wrong with it; by is null for a stranger."""

    photos = PhotoOut(many=True, read_only=True)

    class Meta:
        model = Report
        fields = [
            "id", "fill", "kind", "words", "by", "at", "good_until", "good_why", "answered_by", "answered_at",
            "answer", "decision", "held_from", "held_until", "photos",
        ]  # fmt: skip


class UsesOut(serializers.Serializer):
    """Logged uses of a stretch of time."""

    logs = serializers.IntegerField(help_text="uses logged; logs are incomplete")
    pieces = serializers.IntegerField(help_text="pieces of those that said how many")
    volume_l = amount("L of glaze")
    uses = out.UseOut(many=True)


class DoubtOut(serializers.Serializer):
    """Since when a fill was in doubt, and what was used meanwhile."""

    good_until = serializers.DateTimeField(help_text="last good evidence")
    good_why = serializers.CharField(help_text="what shows it")
    until = serializers.DateTimeField(help_text="when it was reported")
    inside = UsesOut(help_text="in the window of doubt")
    before = UsesOut(help_text="before it, within 7 days of the report: low risk")


class FillShareOut(serializers.Serializer):
    """A fill in another one, with its share of the dry mass."""

    fill = serializers.IntegerField(help_text="number of the row")
    vessel = serializers.CharField()
    share = amount("0 to 1, share of the dry mass", places=6)


class BatchShareOut(serializers.Serializer):
    """A batch in a fill, with its share of the dry mass."""

    batch = serializers.CharField()
    share = amount("0 to 1, share of the dry mass", places=6)


class LotShareOut(serializers.Serializer):
    """A lot in a fill."""

    lot = serializers.CharField()
    material = serializers.CharField()
    share = amount("0 to 1, share of the dry mass by batches", places=6)
    powder_g = amount("g at most, stirred in as powder besides")


class OriginsOut(serializers.Serializer):
    """Where a fill came from, through every merge and split."""

    fills = FillShareOut(many=True)
    batches = BatchShareOut(many=True)
    lots = LotShareOut(many=True)
    unknown = amount("0 to 1, share that no batch is known of", places=6)


class ReachedOut(serializers.Serializer):
    """A fill that a lot came into."""

    fill = serializers.IntegerField(help_text="number of the row")
    vessel = serializers.CharField()
    share = amount("0 to 1, share of the lot in the dry mass by batches", places=6)
    powder_g = amount("g at most, stirred in as powder besides")
    batches = serializers.ListField(child=serializers.CharField())
    open = serializers.BooleanField(help_text="whether it is in its bucket still")


class SpreadOut(serializers.Serializer):
    """Where a lot went."""

    batches = serializers.ListField(child=serializers.CharField())
    fills = ReachedOut(many=True)


class WorstCaseOut(serializers.Serializer):
    """A foreign glaze in a fill, at the very most."""

    volume_l = amount("L of both together")
    sg = amount("specific gravity of both together, no unit", places=4)
    foreign_g = amount("g of dry foreign glaze", places=1)
    dry_g = amount("g of dry glaze in all", places=1)
    share_pct = amount("% of the dry mass", places=3)


class HeldByLotOut(RowOut):
    """One fill under the hold of a lot."""

    class Meta:
        model = HeldByLot
        fields = ["fill", "lifted_at", "decision"]


class LotHoldOut(RowOut):
    """Every bucket with any share of a lot, held at once."""

    fills = HeldByLotOut(many=True, read_only=True)

    class Meta:
        model = LotHold
        fields = ["id", "lot", "reason", "by", "at", "lifted_by", "lifted_at", "decision", "fills"]


class LotNamed(RowOut):
    """The lot that was spoken of."""

    class Meta:
        model = Lot
        fields = ["id", "code", "state"]


@needs(SEE)
class Reports(OfFill):
    """What was reported about a fill, with the answers."""

    operation = "reports_of_fill"
    queryset = Report.objects.prefetch_related("photos")
    serializer_class = ReportOut


@needs(SEE)
class OneReport(One):
    """One report."""

    operation = "one_report"
    queryset = Report.objects.prefetch_related("photos")
    serializer_class = ReportOut


@needs(MAKE)
class DoubtOfReport(Question):
    """Since when the fill of a report was in doubt, and who used it meanwhile."""

    operation = "doubt_of_report"
    output = DoubtOut

    def find(self, pk: int) -> dict[str, Any]:
        rows = Report.objects.select_related("fill__vessel", "fill__tile", "fill__check_reading")
        doubt = doubt_of(get_object_or_404(rows, pk=pk))
        return {
            "good_until": doubt.good.at,
            "good_why": doubt.good.what,
            "until": doubt.until,
            "inside": _uses(doubt.inside),
            "before": _uses(doubt.before),
        }


def _uses(uses: Uses) -> dict[str, Any]:
    return {"logs": uses.count, "pieces": uses.pieces, "volume_l": uses.volume_l, "uses": uses.rows}


@needs(MAKE)
class WorstCase(AskedWithBody):
    """How much of another glaze may be in a fill, at the very most. Nothing is written."""

    operation = "worst_case"
    form_class = forms.WorstCaseForm
    output = WorstCaseOut

    def find(self, form: Any, pk: int) -> dict[str, Any]:
        fill = get_object_or_404(Fill.objects.select_related("vessel"), pk=pk)
        said = form.act_args()
        said.pop("key", None)
        found: Found = worst_in(fill, said.pop("recipe"), **said)
        case = found.case
        return {
            "volume_l": case.volume_l,
            "sg": case.sg,
            "foreign_g": case.foreign_g,
            "dry_g": case.dry_g,
            "share_pct": found.share_pct,
        }


@needs(SEE)
class TraceOfFill(Question):
    """Where a fill came from: fills, batches, lots."""

    operation = "trace_of_fill"
    output = OriginsOut

    def find(self, pk: int) -> dict[str, Any]:
        came = origins(get_object_or_404(Fill, pk=pk))
        return {
            "fills": [
                {"fill": one.fill.pk, "vessel": one.fill.vessel.code, "share": one.share}
                for one in came.fills
                if one.fill
            ],
            "batches": [{"batch": one.batch.number, "share": one.share} for one in came.batches if one.batch],
            "lots": [
                {
                    "lot": one.lot.code,
                    "material": one.lot.material.name,
                    "share": one.share,
                    "powder_g": one.powder_g,
                }
                for one in came.lots
            ],
            "unknown": came.unknown,
        }


@needs(SEE)
class TraceOfLot(Question):
    """Where a lot went: batches, and every fill they came into, through merges and splits."""

    operation = "trace_of_lot"
    output = SpreadOut

    def find(self, pk: int) -> dict[str, Any]:
        went = spread(get_object_or_404(Lot, pk=pk))
        return {
            "batches": [batch.number for batch in went.batches],
            "fills": [
                {
                    "fill": one.fill.pk,
                    "vessel": one.fill.vessel.code,
                    "share": one.share,
                    "powder_g": one.powder_g,
                    "batches": one.batches,
                    "open": one.fill.emptied_at is None,
                }
                for one in went.fills
            ],
        }


the_lot = row_of("lot", Lot.objects.select_related("material"))
LOT = "lots/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path(f"{FILL}reports/", Reports.as_view(), name="api-reports"),
    path(f"{FILL}trace/", TraceOfFill.as_view(), name="api-trace-fill"),
    path(f"{FILL}worst-case/", WorstCase.as_view(), name="api-worst-case"),
    path("reports/<int:pk>/", OneReport.as_view(), name="api-one-report"),
    path("reports/<int:pk>/doubt/", DoubtOfReport.as_view(), name="api-doubt"),
    path(f"{LOT}trace/", TraceOfLot.as_view(), name="api-trace-lot"),
    on_fill(reports.report, SEE, forms.ReportForm, ReportOut),
    on_fill(reports.clear_tint, MAKE, forms.ClearTintForm),
    on_row("reports", "report", Report, reports.answer_report, ReportOut, forms.AnswerReportForm, MAKE),
    on_row("reports", "report", Report, reports.set_doubt, ReportOut, forms.DoubtForm, MAKE),
    act_at(LOT, lots.hold_all_of_lot, right=MAKE, form=forms.HoldLotForm, output=LotHoldOut, about=the_lot),
    act_at(LOT, lots.lift_all_of_lot, right=MAKE, form=forms.LiftLotForm, output=LotNamed, about=the_lot),
]
