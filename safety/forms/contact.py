"""Forms of leach tests: one recorded with a row for each piece and element, one corrected."""

from decimal import Decimal
from typing import Any

from django import forms

from safety.calc.leach import ACID
from safety.contact_tables import careful_elements, limit_sets
from safety.forms.documents import PdfField, WithPdf
from safety.models import LeachTest
from safety.operations.contact import MOST_ROWS, USES, Report, TypedResult
from studio.fields import NumberField
from studio.materials.forms.materials import day
from studio.recipes.models import Version
from studio.room.forms.kept import KeptForm
from studio.rows import RowForm, rows_wanted, typed_rows
from studio.tone import speak

ROWS = 12
PIECES, COVERED = 6, ("Pb", "Cd")  # what the first rows offer
MICRO = "µg/L"
UNITS = [("mg/L", "mg/L (or µg/mL)"), (MICRO, MICRO), ("mg/dm²", "mg/dm²")]
FOUND = [("", "found"), ("below", "below the detection limit of")]
FIELDS = tuple(Report.__dataclass_fields__)


class ResultForm(RowForm):
    """What the report says of one element on one piece. A row without a result is left out."""

    piece = forms.IntegerField(label="Piece", min_value=1, max_value=MOST_ROWS)
    element = forms.ChoiceField(label="Element")
    below = forms.ChoiceField(label="It was", choices=FOUND, required=False)
    value = NumberField(
        label="Result",
        help_text="“< 0.05” is below detection.",
        minimum=0,
        maximum=100_000,
        places=5,
        error_messages={"required": "Copy the result, or the detection limit."},
    )
    unit = forms.ChoiceField(label="Unit", choices=UNITS, initial=UNITS[0][0])

    typed_in = ("value", "below")

    def __init__(self, data: Any = None, *, number: int, **kwargs: Any) -> None:
        name = f"row{number}-value"
        typed = str(data.get(name, "")).strip() if data is not None else ""
        if typed.startswith(("<", "≤")):
            data = data.copy()
            data[name], data[f"row{number}-below"] = typed[1:].strip(), "below"
        kwargs.setdefault("initial", _offered(number))
        super().__init__(data, number=number, **kwargs)
        for field in self.fields.values():
            field.widget.attrs["aria-label"] = f"{field.label} in row {self.number}"

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        value = cleaned.get("value")
        if value is not None and cleaned.get("unit") == MICRO:
            cleaned["value"], cleaned["unit"] = value / 1000, "mg/L"
            if cleaned["value"] != round(cleaned["value"], 5):
                self.add_error("value", "At most two decimals in µg/L.")
        if value == 0 and cleaned.get("below"):
            self.add_error("value", "A detection limit is more than 0.")
        return cleaned

    @property
    def result(self) -> TypedResult:
        said = self.cleaned_data
        return TypedResult(
            piece=said["piece"],
            element=said["element"],
            value=said["value"],
            unit=said["unit"],
            below=bool(said["below"]),
        )


ResultForm.base_fields["element"].choices = [  # type: ignore[attr-defined]
    (one.symbol, f"{one.symbol} {one.name}") for one in careful_elements()
]


def _offered(number: int) -> dict[str, Any]:
    """Piece and element a row begins with: six pieces of lead, then six of cadmium."""
    return {"piece": number % PIECES + 1, "element": COVERED[number // PIECES % len(COVERED)]}


def _size(label: str, unit: str, most: int, help_text: str = "", **kwargs: Any) -> NumberField:
    kwargs.setdefault("minimum", 0)
    return NumberField(label=label, unit=unit, maximum=most, places=1, help_text=help_text, **kwargs)


class LeachTestForm(KeptForm):
    """A leach test as its report says; the API takes the same."""

    version = forms.ModelChoiceField(
        Version.objects.select_related("recipe").order_by("recipe__name", "-number"),
        label="Recipe and version",
        help_text="It speaks for this version alone.",
        error_messages={"invalid_choice": "There is no such version here."},
    )
    clay = forms.CharField(label="Clay", max_length=80)
    firing = forms.CharField(label="Firing", help_text="Cone, atmosphere, schedule or log.", max_length=120)
    layers = forms.CharField(
        label="Layers", help_text="Coats, and what lay over or under it.", max_length=120, required=False
    )
    batch = forms.CharField(label="Batch", help_text="Like 26-014.", max_length=20, required=False)
    laboratory = forms.CharField(label="Laboratory", max_length=80)
    accreditation = forms.CharField(label="Its accreditation", max_length=60, required=False)
    report_number = forms.CharField(label="Number of the report", max_length=40)
    reported_on = day("Date of the report")
    method = forms.ChoiceField(label="Method", choices=LeachTest.Method.choices)
    leachant = forms.ChoiceField(
        label="Leached with",
        choices=[(ACID, ACID), ("other", "something else, named in the note")],
        initial=ACID,
    )
    hours = _size("For", "h", 1000, minimum=1, initial=Decimal(24))
    temperature_c = _size("At", "°C", 150, required=False)
    depth_mm = _size("Inner depth", "mm", 2000, "From the rim’s level to the deepest point.")
    volume_ml = _size("Holds to the brim", "mL", 100_000)
    use = forms.ChoiceField(label="The pieces are", choices=list(USES.items()))
    pieces = forms.IntegerField(label="Pieces tested", min_value=1, max_value=MOST_ROWS, initial=PIECES)
    limit_set = forms.ChoiceField(label="Limits the report names")
    expires_on = day("Counts until", help_text="Left empty: as the studio’s rule says.", required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)
    row_form, most_rows = ResultForm, MOST_ROWS  # in the API

    def __init__(self, data: Any = None, *, rows: list[dict[str, Any]] | None = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        speak(self.fields.values())
        said = rows or []
        wanted = rows_wanted(data, first=max(ROWS, len(said)), most=MOST_ROWS)
        self.rows = [
            ResultForm(data, number=number, **({"initial": said[number]} if number < len(said) else {}))
            for number in range(wanted)
        ]

    @property
    def filled(self) -> list[ResultForm]:
        return [row for row in self.rows if not row.blank]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        wrong = [str(row.number) for row in self.filled if not row.is_valid()]
        if wrong:
            self.add_error(None, f"Nothing is recorded yet. To put right: result {', '.join(wrong)}.")
        elif not self.filled:
            self.add_error(None, "Nothing is recorded yet. Copy at least one result from the report.")
        return cleaned

    def typed(self) -> str:
        return "; ".join([super().typed(), *typed_rows(self.data)])[:20_000]

    def act_args(self) -> dict[str, Any]:
        said = super().act_args()
        report = Report(**{name: said.pop(name) for name in FIELDS})
        return {**said, "report": report, "results": [row.result for row in self.filled]}


LeachTestForm.base_fields["limit_set"].choices = [  # type: ignore[attr-defined]
    (one.key, f"{one.title} ({one.edition})") for one in limit_sets().values()
]


class LeachTestPageForm(WithPdf, LeachTestForm):
    """The same on a page, with the report as PDF."""

    document = PdfField(label="The report as PDF")


def told_again(test: LeachTest) -> dict[str, Any]:
    """What a record says, for the form that corrects it: ``initial`` and ``rows``."""
    said = {name: getattr(test, name) for name in FIELDS if name != "note"}
    rows = [
        {
            "piece": row.piece,
            "element": row.element,
            "value": row.value,
            "unit": row.unit,
            "below": "below" if row.below else "",
        }
        for row in test.results.all()
    ]
    return {"initial": {**said, "version": test.version_id}, "rows": rows}
