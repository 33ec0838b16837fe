"""Forms of data sheets: one filed with what is in it, a lot covered, our table instead of a sheet."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from safety.calc.cas import cas_problem, tidy_cas
from safety.forms.documents import PdfField, WithPdf
from safety.forms.hazards import ClassesField, HazardsFields, said_of
from safety.models import Sheet
from safety.operations.sheets import MOST_ROWS, SECTIONS, TypedConstituent
from safety.sheets import HERE
from safety.substances import TableSubstance, like
from studio.fields import NumberField
from studio.materials.forms.materials import day
from studio.materials.models import Lot, Material
from studio.room.forms.kept import KeptForm
from studio.rows import RowForm, rows_wanted, typed_rows
from studio.tone import speak

ROWS = 3
SECTION_WORDS = {
    2: "Section 2, hazards", 4: "Section 4, first aid", 6: "Section 6, spills",
    7: "Section 7, handling and storage", 8: "Section 8, limits and protection",
}  # fmt: skip


def _percent(label: str, help_text: str = "", **kwargs: Any) -> NumberField:
    kwargs.setdefault("required", False)
    return NumberField(label=label, help_text=help_text, unit="%", minimum=0, maximum=100, places=4, **kwargs)


class ConstituentForm(HazardsFields, RowForm):
    """One substance of section 3. A row in which nothing is typed is left out."""

    name = forms.CharField(
        label="Substance", max_length=120, error_messages={"required": "Which substance? A row needs a name."}
    )
    cas = forms.CharField(label="CAS number", max_length=20, required=False)
    low_pct = _percent("From")
    high_pct = _percent("to", "One figure goes here. Of a range the upper end counts.", required=True)
    fine_pct = _percent("Of it fine silica", "Crystalline silica only. Left empty: all of it counts as fine.")
    field_order = ("name", "cas", "low_pct", "high_pct", "fine_pct", "stated", "classes")

    typed_in = (
        *("name", "cas", "low_pct", "high_pct", "fine_pct", "classes", "codes", "limits", "organ"),
        *("ate_oral", "ate_dermal", "ate_inhal_dust", "m_acute", "m_chronic"),
    )

    def clean_cas(self) -> str:
        said = tidy_cas(self.cleaned_data.get("cas") or "")
        if problem := cas_problem(said):
            raise forms.ValidationError(problem)
        return said

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        low, high, fine = (cleaned.get(name) for name in ("low_pct", "high_pct", "fine_pct"))
        if low is not None and high is not None and low > high:
            self.add_error("high_pct", "The range ends below its beginning.")
        if fine is not None and high is not None and fine > high:
            self.add_error("fine_pct", f"At most {high.normalize():f} %: it is part of this substance.")
        cleaned["hazards"] = said_of(self)
        return cleaned

    @property
    def constituent(self) -> TypedConstituent:
        wanted = ("name", "cas", "low_pct", "high_pct", "fine_pct", "hazards")
        return TypedConstituent(**{name: self.cleaned_data[name] for name in wanted})


def _section(number: int) -> forms.CharField:
    return forms.CharField(
        label=SECTION_WORDS[number],
        required=False,
        max_length=20_000,
        widget=forms.Textarea({"rows": 4}),
    )


class SheetForm(KeptForm):
    """A data sheet or a supplier's letter as a person copies it; the API takes the same."""

    kind = forms.ChoiceField(
        label="What is it?",
        choices=[row for row in Sheet.Kind.choices if row[0] != Sheet.Kind.TABLE],
        initial=Sheet.Kind.SHEET,
        widget=forms.RadioSelect,
    )
    product = forms.CharField(label="Product, as printed", max_length=120)
    supplier = forms.CharField(label="Supplier", max_length=80)
    supplier_address = forms.CharField(label="Its address", max_length=200, required=False)
    phone = forms.CharField(label="Its phone", max_length=40, required=False)
    emergency_phone = forms.CharField(
        label="Emergency phone", help_text="With its hours.", max_length=80, required=False
    )
    language = forms.CharField(label="Language", max_length=20, required=False, initial="English")
    law = forms.ChoiceField(label="Written for", choices=Sheet.Law.choices, initial=Sheet.Law.EU)
    rule_set = forms.CharField(
        label="Rules it names", help_text="CLP, 22nd adaptation.", max_length=60, required=False
    )
    version = forms.CharField(label="Version", max_length=20, required=False)
    issued_on = day("Issued on", required=False)
    revised_on = day("Revised on", required=False)
    review_on = day(
        "Look at it again by", help_text="Only where that is sooner than the studio's rule.", required=False
    )
    lots = forms.ModelMultipleChoiceField(
        Lot.objects.none(),
        label="Lots it covers",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "There is no such lot of this material here."},
    )
    stated = forms.ChoiceField(
        label="Section 2 says of the product",
        choices=[
            ("classes", "it has these classes"),
            ("not hazardous", "not hazardous"),
            ("not stated", "nothing that can be read"),
        ],
        widget=forms.RadioSelect,
    )
    classes = ClassesField(label="Classes of the product")
    codes = forms.CharField(label="H statements of the product", max_length=200, required=False)
    ph = NumberField(label="pH of its slurry", minimum=0, maximum=14, places=1, required=False)
    section_2, section_4, section_6 = _section(2), _section(4), _section(6)
    section_7, section_8 = _section(7), _section(8)
    note = forms.CharField(label="Note", max_length=200, required=False)
    row_form, most_rows, rows_wanted = ConstituentForm, MOST_ROWS, False  # in the API

    def __init__(self, data: Any = None, *, material: Material | None = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        if material is not None:
            self.fields["lots"].queryset = Lot.objects.filter(material=material, state__in=HERE)  # type: ignore[attr-defined]
        speak(self.fields.values())
        wanted = rows_wanted(data, first=ROWS, most=MOST_ROWS)
        self.rows = [ConstituentForm(data, number=number) for number in range(wanted)]

    @property
    def filled(self) -> list[ConstituentForm]:
        return [row for row in self.rows if not row.blank]

    def clean_issued_on(self) -> Any:
        return self._not_to_come("issued_on")

    def clean_revised_on(self) -> Any:
        return self._not_to_come("revised_on")

    def _not_to_come(self, name: str) -> Any:
        found = self.cleaned_data.get(name)
        if found and found > timezone.localdate():
            raise forms.ValidationError("That day is still to come. Copy the date from the sheet.")
        return found

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        wrong = [str(row.number) for row in self.filled if not row.is_valid()]
        if wrong:
            said = ", ".join(wrong)
            self.add_error(None, f"Nothing is filed yet. To put right: substance {said}.")
        cleaned["hazards"] = said_of(self)
        return cleaned

    def typed(self) -> str:
        return "; ".join([super().typed(), *typed_rows(self.data)])[:20_000]

    def act_args(self) -> dict[str, Any]:
        said = super().act_args()
        for name in ("stated", "classes", "codes"):
            said.pop(name, None)
        sections = {number: said.pop(f"section_{number}", "") for number in SECTIONS}
        return {
            **said,
            "lots": list(said.get("lots") or ()),
            "sections": {number: text for number, text in sections.items() if text},
            "constituents": [row.constituent for row in self.filled],
        }


class SheetPageForm(WithPdf, SheetForm):
    """The same on a page, with the PDF."""

    document = PdfField(label="The PDF")


class CoverForm(KeptForm):
    """Which lot a sheet is the one for, too."""

    lot = forms.ModelChoiceField(
        Lot.objects.none(),
        label="Lot",
        error_messages={"invalid_choice": "There is no such lot of this material here."},
    )

    def __init__(self, *args: Any, sheet: Sheet | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if sheet is not None:
            lots = Lot.objects.filter(material=sheet.material_id, state__in=HERE)
            self.fields["lot"].queryset = lots.exclude(covered_by__sheet=sheet)  # type: ignore[attr-defined]


class AcknowledgeForm(KeptForm):
    """Why a material may be weighed though its sheet is not current."""

    reason = forms.CharField(
        label="Why may it be weighed without a current sheet?",
        max_length=200,
        widget=forms.Textarea({"rows": 3}),
    )


def _as_choice(row: TableSubstance) -> str:
    cas = f", CAS {row.cas}" if row.cas else ""
    return f"{row.name}{cas}: {'; '.join(row.hazards.classes) or 'not classified'} {row.status}"


class TableForm(KeptForm):
    """Which row of our table a material without a sheet is: a person says it, nothing is linked by itself."""

    row = forms.ChoiceField(
        label="It is",
        widget=forms.RadioSelect,
        error_messages={
            "required": "Choose what it is.",
            "invalid_choice": "Choose one of these, or file its sheet.",
        },
    )

    def __init__(self, *args: Any, material: Material | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = [material.name, *(alias.name for alias in material.aliases.all())] if material else []
        found = {row.material: row for name in names for row in like(name)}
        self.found = found
        self.fields["row"].choices = [  # type: ignore[attr-defined]
            (key, _as_choice(row)) for key, row in found.items()
        ]

    def act_args(self) -> dict[str, Any]:
        args = super().act_args()
        row = self.found[args.pop("row")]
        return {
            **args,
            "kind": Sheet.Kind.TABLE,
            "product": row.material,
            "hazards": row.hazards,
            "constituents": [
                TypedConstituent(name=row.name, cas=row.cas, high_pct=Decimal(100), hazards=row.hazards)
            ],
            "note": f"{row.basis} {row.status}"[:200],
        }
