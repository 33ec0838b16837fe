"""The API of data sheets: read, filed (without the PDF, which comes by page), a lot covered."""

from django import forms
from django.urls import URLPattern, path
from rest_framework import serializers

from safety.forms.sheets import CoverForm, SheetForm
from safety.models import Acknowledgement, Constituent, Covers, Sheet
from safety.operations.sheets import cover_lot, file_sheet
from studio.api_kit import ListOf, One, RowOut, act_at, row_of
from studio.api_kit.asking import RowNumber
from studio.materials.models import Material
from studio.people.doors import needs
from studio.people.rights import BINDER, SEE


class ConstituentOut(RowOut):
    """One substance in a material; shares in percent of its mass."""

    hazards = serializers.JSONField(help_text="classes and figures as the sheet gives them")

    class Meta:
        model = Constituent
        fields = ["position", "name", "cas", "low_pct", "high_pct", "fine_pct", "hazards"]


class SheetOut(RowOut):
    """One version of a data sheet, a letter, or our table's word; the newest of a supplier stands."""

    constituents = ConstituentOut(many=True)
    hazards = serializers.JSONField(help_text="what section 2 says of the product as a whole")

    class Meta:
        model = Sheet
        fields = [
            "id", "number", "material", "kind", "replaces", "product", "supplier", "phone", "emergency_phone",
            "language", "law", "rule_set", "version", "issued_on", "revised_on", "review_on", "hazards", "ph",
            "section_2", "section_4", "section_6", "section_7", "section_8", "file_digest", "file_size",
            "note", "constituents", "by", "at",
        ]  # fmt: skip


class CoversOut(RowOut):
    """A sheet is the one for a lot."""

    class Meta:
        model = Covers
        fields = ["id", "sheet", "lot", "by", "at"]


class AcknowledgementOut(RowOut):
    """A technician let a material be weighed for a batch though its sheet was not current, and said why."""

    class Meta:
        model = Acknowledgement
        fields = ["id", "material", "what", "reason", "by", "at"]


class SheetsAsked(forms.Form):
    material = RowNumber("Number of the material")


@needs(SEE)
class Sheets(ListOf):
    """Data sheets, newest first; replaced ones, too."""

    operation = "sheets"
    query = SheetsAsked
    queryset = Sheet.objects.prefetch_related("constituents")
    serializer_class = SheetOut


@needs(SEE)
class OneSheet(One):
    """One version of a sheet."""

    operation = "sheet"
    queryset = Sheet.objects.prefetch_related("constituents")
    serializer_class = SheetOut


@needs(SEE)
class Acknowledgements(ListOf):
    """What was weighed without a current sheet, who let it through and why; newest first."""

    operation = "acknowledgements"
    query = SheetsAsked
    queryset = Acknowledgement.objects.all()
    serializer_class = AcknowledgementOut


MATERIAL, SHEET = "materials/<int:pk>/", "sheets/<int:pk>/"
_material, _sheet = row_of("material", Material), row_of("sheet", Sheet)

urlpatterns: list[URLPattern] = [
    path("sheets/", Sheets.as_view(), name="api-sheets"),
    path("acknowledgements/", Acknowledgements.as_view(), name="api-acknowledgements"),
    path(SHEET, OneSheet.as_view(), name="api-sheet"),
    act_at(
        SHEET,
        cover_lot,
        right=BINDER,
        form=CoverForm,
        output=CoversOut,
        about=_sheet,
        form_kwargs=lambda request, rows: rows,
    ),
    act_at(
        MATERIAL,
        file_sheet,
        right=BINDER,
        form=SheetForm,
        output=SheetOut,
        about=_material,
        form_kwargs=lambda request, rows: rows,
    ),
]
