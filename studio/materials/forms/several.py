"""Several materials in one table: the whole store typed in at one sitting."""

from typing import Any

from django import forms

from studio.fields import MassField
from studio.materials.forms.materials import price
from studio.materials.models import Material
from studio.materials.operations.materials import NewMaterial, RowRefused
from studio.room.forms.kept import KeptForm
from studio.rows import RowForm, rows_wanted, typed_rows

ROWS = 10
MOST_ROWS = 60


class MaterialRow(RowForm):
    """One material. A row in which nothing is typed is left out."""

    name = forms.CharField(
        label="Name", max_length=80, error_messages={"required": "What is it called? A row needs a name."}
    )
    opening_g = MassField(label="There now", required=False, first_unit="kg")
    opening_price_per_kg = price("Price", required=False)
    role = forms.ChoiceField(
        label="What is it?",
        choices=[
            (Material.Role.PLAIN, "base"),
            (Material.Role.COLOURANT, "colourant"),
            (Material.Role.OPACIFIER, "opacifier"),
            (Material.Role.ADDITIVE, "additive"),
        ],
    )
    hazard_words = forms.CharField(label="Hazard words", max_length=200, required=False)

    typed_in = ("name", "opening_g_0", "opening_price_per_kg", "hazard_words")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            # The column's heading names the cell for the eye only; each input says its own row.
            said = f"{field.label}, row {self.number}"
            parts = getattr(field.widget, "widgets", [field.widget])
            parts[0].attrs["aria-label"] = said
            if name == "opening_g":
                parts[1].attrs["aria-label"] = f"Unit, row {self.number}"


class SeveralForm(KeptForm):
    """Ten rows, more on demand. All of them are written or none."""

    row_form, most_rows = MaterialRow, MOST_ROWS  # in the API

    def __init__(self, data: Any = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        wanted = rows_wanted(data, first=ROWS, most=MOST_ROWS)
        self.rows = [MaterialRow(data, number=number) for number in range(wanted)]

    @property
    def filled(self) -> list[tuple[int, MaterialRow]]:
        return [(number, row) for number, row in enumerate(self.rows) if not row.blank]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        wrong = [number + 1 for number, row in self.filled if not row.is_valid()]
        if wrong:
            said = ", ".join(map(str, wrong))
            self.add_error(
                None, f"Nothing is saved yet. To put right: row {said}. What you typed is still there."
            )
        elif not self.filled:
            self.add_error(None, "No row is filled in yet.")
        return cleaned

    def refuse(self, refusal: RowRefused) -> None:
        """Put what the store said beside the cell it is about."""
        number, row = self.filled[refusal.row]
        cell = refusal.cell if refusal.cell in row.fields else "name"
        row.add_error(cell, refusal.sentence)
        self.add_error(None, f"Nothing is saved yet. To put right: row {number + 1}.")

    def act_args(self) -> dict[str, Any]:
        rows = [NewMaterial(**row.cleaned_data) for _, row in self.filled]
        return {"key": self.cleaned_data["key"], "rows": rows, "raw": self.typed()}

    def typed(self) -> str:
        return "; ".join(typed_rows(self.data))[:20_000]
