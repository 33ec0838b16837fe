"""How an act on a fill, or on an entry about one, is told to the API."""

from typing import Any

from django.urls import URLPattern

from buckets import serializers as out
from buckets.forms import acting
from buckets.models import Fill
from studio.api_kit import act_at, row_of
from studio.fields import ActForm
from studio.people.rights import USE

the_fill = row_of("fill", Fill.objects.select_related("vessel"))
FILL = "fills/<int:pk>/"


def on_fill(do: Any, right: str, form: type[ActForm], output: Any = out.FillOut) -> URLPattern:
    """An act on the fill in the address; the form is told which it is."""
    return act_at(
        FILL, do, right=right, form=form, output=output, about=the_fill, form_kwargs=lambda _, rows: rows
    )


def on_row(
    where: str, name: str, model: Any, do: Any, output: Any, form: Any = acting.TakeBackForm, right: str = USE
) -> URLPattern:
    """An act on one entry about a fill."""
    about = row_of(name, model.objects.select_related("fill__vessel"))
    return act_at(f"{where}/<int:pk>/", do, right=right, form=form, output=output, about=about)
