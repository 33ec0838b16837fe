"""Forms for the lines of a recipe, typed as they stand in the notebook."""

from typing import Any

from django import forms

from studio.fields import ActForm, NumberField
from studio.materials.names import known_names
from studio.recipes.calc.notebook import read_notebook
from studio.recipes.forms.fields import TargetGravityField
from studio.recipes.forms.recipes import DetailsFields
from studio.recipes.models import Line, Version
from studio.recipes.operations.lines import MOST_LINES
from studio.recipes.reading import Row, read_rows, understood
from studio.recipes.sheet import Sheet

MOST_LETTERS = 6000
AREAS = {"base": Line.Kind.BASE, "on_top": Line.Kind.ADDITION}
RULE = (
    "One line each, a name and an amount in either order: "
    "Soda feldspar 22, 22 % Soda feldspar, Silica 1 113,5 g."
)
TOO_LONG = f"This is more than a recipe: at most {MOST_LETTERS} letters."


def _area(size: str) -> forms.Textarea:
    return forms.Textarea(attrs={"class": size, "spellcheck": "false", "autocapitalize": "off"})


class LinesFields(forms.Form):
    """Base and additions as text, and what the version is made to.

    After ``is_valid`` the lines stand in ``cleaned_data["lines"]``, every typed line in ``rows``, and
    ``sheet`` is how the version reads, or None while a line is not understood.
    """

    typed_as = forms.ChoiceField(
        label="The amounts are",
        choices=Version.TypedAs.choices,
        initial=Version.TypedAs.PERCENT,
        widget=forms.RadioSelect,
        error_messages={
            "required": "Choose percent, parts or grams.",
            "invalid_choice": "Choose percent, parts or grams.",
        },
    )
    base = forms.CharField(
        label="Base",
        help_text=RULE,
        max_length=MOST_LETTERS,
        strip=False,
        widget=_area("tall"),
        error_messages={
            "required": "The base is empty. Type at least one line, like Soda feldspar 22.",
            "max_length": TOO_LONG,
        },
    )
    on_top = forms.CharField(
        label="On top",
        help_text="Colourants, opacifiers, bentonite: what comes on top of the base, in the same amounts.",
        required=False,
        max_length=MOST_LETTERS,
        strip=False,
        widget=_area("low"),
        error_messages={"max_length": TOO_LONG},
    )
    target_sg = TargetGravityField(
        label="Specific gravity",
        error_messages={"required": "Type the specific gravity it is made to, like 1.45."},
    )
    half_window = NumberField(
        label="Window, plus or minus",
        help_text="0.02 means 1.43 to 1.47 around 1.45.",
        initial="0.02",
        above=0,
        maximum="0.2",
        places=4,
        error_messages={"required": "Type how far it may be off, like 0.02."},
    )
    sieve_mesh = forms.IntegerField(
        label="Sieve mesh",
        help_text="Threads to the inch: 80 is common.",
        required=False,
        min_value=10,
        max_value=500,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "invalid": "Type the mesh as a whole number, like 80.",
            "min_value": "Sieves for glaze have a mesh of 10 to 500.",
            "max_value": "Sieves for glaze have a mesh of 10 to 500.",
        },
    )
    rows: list[Row] = []
    sheet: Sheet | None = None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self._read(cleaned)
        lines = understood(self.rows)
        cleaned["lines"] = lines
        if lines and not any(self.has_error(area) for area in AREAS):
            self._lay_out(cleaned)
        for area in AREAS:
            cleaned.pop(area, None)
        return cleaned

    def _read(self, cleaned: dict[str, Any]) -> None:
        texts = {area: cleaned.get(area) or "" for area in AREAS}
        if sum(len(read_notebook(text)) for text in texts.values()) > MOST_LINES:
            self.add_error("base", f"A recipe has at most {MOST_LINES} lines.")
            return
        names = known_names()
        self.rows = []
        for area, kind in AREAS.items():
            rows = read_rows(kind, texts[area], cleaned.get("typed_as", ""), names)
            self.rows += rows
            for row in rows:
                if row.problem:
                    self.add_error(area, row.sentence)
        lines_in_base = [row for row in self.rows if row.kind == Line.Kind.BASE and row.line]
        if not lines_in_base and not self.has_error("base"):
            self.add_error("base", "The base has no lines. Type at least one, like Soda feldspar 22.")

    def _lay_out(self, cleaned: dict[str, Any]) -> None:
        typed_as = cleaned.get("typed_as")
        if typed_as:
            stated = {row.kind: row.stated for row in self.rows if row.stated is not None}
            self.sheet = Sheet(lines=cleaned["lines"], typed_as=typed_as, stated=stated)

    @property
    def unknown(self) -> dict[str, list[Row]]:
        """By text area, the lines whose material the store does not have: for links to what helps."""
        return {
            area: [row for row in self.rows if row.kind == kind and row.unknown]
            for area, kind in AREAS.items()
        }


class AddRecipeForm(DetailsFields, LinesFields, ActForm):
    pass


class AddVersionForm(LinesFields, ActForm):
    reason = forms.CharField(
        label="Why a new version",
        help_text="For the person who approves it: less silica, crazed on porcelain.",
        max_length=200,
        error_messages={
            "required": "Say in a few words why there is a new version.",
            "max_length": "Say it in at most 200 letters.",
        },
    )
