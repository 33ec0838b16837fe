"""Fills that go on as others, side cups, swapped labels, releases before the tile: for programs.

There is no act that pours a cup back.
"""

from django import forms
from django.urls import URLPattern, path

from buckets import serializers as out
from buckets.api.on import on_fill
from buckets.api.reports import ReportOut
from buckets.forms.cups import CupForm, CupGoneForm
from buckets.forms.lineage import BlendForm, MoveForm, SplitForm
from buckets.forms.swaps import NotThePictureForm, OtherBucketForm
from buckets.forms.untiled import JudgeTileForm, UntiledForm
from buckets.models import Cup, Report
from buckets.operations import cups, lineage, swaps, untiled
from studio.api_kit import ListOf, One, RowOut, act_at, amount, row_of
from studio.api_kit.asking import RowNumber, one_of
from studio.fields import ActForm
from studio.people.doors import needs
from studio.people.rights import MAKE, ROOM, SEE, USE


class CupOut(RowOut):
    """A side cup. It never goes back into its bucket."""

    volume_l = amount("L in the cup")
    stock_l = amount("L of stirred glaze it was made of")
    water_l = amount("L of water; null: none", allow_null=True)
    powder_g = amount("g of dry glaze; null: none", allow_null=True)
    dry_g = amount("g of dry glaze in it; null: not known", allow_null=True)

    class Meta:
        model = Cup
        fields = [
            "id", "fill", "use", "from_sg", "to_sg", "volume_l", "stock_l", "water_l", "powder_g", "dry_g",
            "by", "at", "gone_at",
        ]  # fmt: skip


class CupsAsked(forms.Form):
    fill = RowNumber("Made from the fill with this number of a row")
    open = one_of("true: those that are still about", [("true", "true"), ("false", "false")])


@needs(SEE)
class Cups(ListOf):
    """Side cups, newest first; gone ones, too."""

    operation = "cups"
    query = CupsAsked
    queryset = Cup.objects.all()
    serializer_class = CupOut

    def narrow(self, rows, **asked):
        if asked.pop("open") == "true":
            rows = rows.filter(gone_at=None, use__reversed_by=None)
        return super().narrow(rows, **asked)


@needs(SEE)
class OneCup(One):
    """One side cup."""

    operation = "cup"
    queryset = Cup.objects.all()
    serializer_class = CupOut


the_cup = row_of("cup", Cup.objects.select_related("fill__vessel"))
the_report = row_of("report", Report.objects.select_related("fill__vessel"))
CUP = "cups/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("cups/", Cups.as_view(), name="api-cups"),
    path(CUP, OneCup.as_view(), name="api-cup"),
    act_at(CUP, cups.cup_gone, right=USE, form=CupGoneForm, output=CupOut, about=the_cup),
    act_at(CUP, cups.report_cup, right=SEE, form=ActForm, output=ReportOut, about=the_cup),
    on_fill(cups.make_cup, USE, CupForm, CupOut),
    on_fill(lineage.blend_fill, MAKE, BlendForm),
    on_fill(lineage.split_fill, MAKE, SplitForm),
    on_fill(lineage.move_bucket, ROOM, MoveForm, out.CareOut),
    on_fill(swaps.not_the_picture, SEE, NotThePictureForm, ReportOut),
    act_at(
        "reports/<int:pk>/",
        swaps.name_other_bucket,
        right=SEE,
        form=OtherBucketForm,
        output=ReportOut,
        about=the_report,
    ),
    on_fill(untiled.release_untiled, MAKE, UntiledForm),
    on_fill(untiled.judge_tile, MAKE, JudgeTileForm),
]
