"""Choosing a recipe or a bucket out of many, and typing a specific gravity that is wanted."""

from collections.abc import Callable, Iterable
from decimal import Decimal
from html import escape
from typing import Any

from django import forms
from django.db.models import CharField, F, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Upper
from django.utils.safestring import SafeString

from buckets.models import Fill
from studio.calc.typed import Candidate, TypedProblem, parse_decimal, sg_candidates
from studio.fields import NumberInput
from studio.prepared import Prepared
from studio.recipes.models import Recipe, Version
from studio.room.models import Vessel

Rows = Iterable[tuple[str, str]]


class RowSelect(forms.Widget):
    """A list to choose from, written in one go: a template for each of many options is slow."""

    input_type = "select"

    def __init__(self, rows: Callable[[], Rows], empty: str, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs)
        self.rows, self.empty = rows, empty

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        chosen = "" if value is None else str(value)
        options = "".join(
            f'<option value="{escape(key)}"{" selected" if key == chosen else ""}>{escape(text)}</option>'
            for key, text in [("", self.empty), *self.rows()]
        )
        own = self.build_attrs(self.attrs, attrs) | {"name": name}
        pairs = [
            (key, key if said is True else said) for key, said in own.items() if said not in (None, False)
        ]
        said = "".join(f' {key}="{escape(str(value))}"' for key, value in pairs)
        return SafeString(f"<select{said}>{options}</select>")


def makeable() -> Any:
    """The approved versions that are in force, of recipes that are not retired."""
    return Version.objects.filter(
        recipe__current=F("pk"), recipe__state=Recipe.State.CURRENT, state=Version.State.APPROVED
    )


def anything_makeable() -> bool:
    """Whether there is an approved version in force at all."""
    return bool(FIRST_MAKEABLE.rows())


def bucket_in_service(code: str) -> Vessel | None:
    """A bucket in service by its code, in capitals or not."""
    found = ONE_IN_SERVICE.rows(code=code.upper())
    return found[0] if found else None


def _recipe_rows() -> Rows:
    for pk, name, number in MAKEABLE.rows():
        yield str(pk), f"{name}, version {number}"


def _bucket_rows() -> Rows:
    for code, glaze in IN_SERVICE.rows():
        yield code, f"{code}, {glaze or 'empty'}"


def _in_service() -> QuerySet[Vessel, tuple[str, str | None]]:
    inside = Fill.objects.filter(vessel=OuterRef("pk"), emptied_at=None).values("glaze")[:1]
    rows = Vessel.objects.filter(state=Vessel.State.IN_SERVICE).order_by("code")
    return rows.values_list("code", Subquery(inside))


MAKEABLE = Prepared(lambda: makeable().order_by("recipe__name").values_list("pk", "recipe__name", "number"))
FIRST_MAKEABLE = Prepared(lambda: makeable().order_by().values_list("pk")[:1])
IN_SERVICE = Prepared(_in_service)
ONE_MAKEABLE = Prepared(
    lambda version: makeable().select_related("recipe").filter(pk=version).order_by("pk"),
    version=IntegerField(),
)
ONE_IN_SERVICE = Prepared(
    lambda code: (
        Vessel.objects.filter(state=Vessel.State.IN_SERVICE)
        .alias(large=Upper("code"))
        .filter(large=code)
        .order_by("code")[:1]
    ),
    code=CharField(),
)


class VersionField(forms.CharField):
    """A recipe by the number of the row of its approved version."""

    sent_as = int  # in the API

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", RowSelect(_recipe_rows, "Choose a glaze"))
        super().__init__(max_length=18, **kwargs)

    def clean(self, value: Any) -> Version | None:
        text = super().clean(value)
        if not text:
            return None
        found: list[Version] = []
        if text.isascii() and text.isdigit():
            found = ONE_MAKEABLE.rows(version=int(text))
        if not found:
            raise forms.ValidationError(
                "That is not a recipe version that is approved and in force. Choose one from the list."
            )
        return found[0]


class VesselField(forms.CharField):
    """A bucket in service, by its code."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", RowSelect(_bucket_rows, "No bucket chosen"))
        super().__init__(max_length=12, **kwargs)

    def clean(self, value: Any) -> Vessel | None:
        text = super().clean(value)
        if not text:
            return None
        found = bucket_in_service(text)
        if found is None:
            raise forms.ValidationError(f"There is no bucket {text} in service. Choose one from the list.")
        return found


class GravityField(forms.CharField):
    """A specific gravity typed by somebody who wants it: what can be read in several ways is asked back.

    A number that is no gravity at all is handed on, so that the plan can say what would work.
    """

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=40, widget=NumberInput(), **kwargs)

    def clean(self, value: Any) -> Decimal | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            candidates = sg_candidates(text)
            if not candidates:
                return parse_decimal(text).quantize(Decimal("0.0001"))
        except TypedProblem as problem:
            raise forms.ValidationError(str(problem)) from problem
        if candidates[0].sure:
            return candidates[0].sg.quantize(Decimal("0.0001"))
        ways = "; ".join(_way(candidate) for candidate in candidates)
        raise forms.ValidationError(f"That can be read as {ways}. Type the one you mean.")


def _way(candidate: Candidate) -> str:
    sg = f"{candidate.sg.normalize():f}"
    return f"{sg} ({candidate.how.removeprefix(f'{sg}, ')})"
