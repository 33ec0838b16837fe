"""Mixed from a spare bucket, split, carried somewhere else; and a fill as it was, once it has gone on."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from buckets import lineage
from buckets.errors import FillEmptied
from buckets.forms.lineage import BlendForm, MoveForm, SplitForm
from buckets.models import Fill
from buckets.operations.lineage import blend_fill, move_bucket, split_fill
from buckets.story import story_of
from buckets.views.at import bucket_url, fill_page, units_of
from buckets.views.bucket import story_lines
from buckets.views.looking import look_then_do
from studio import words
from studio.pages import person
from studio.people.doors import needs


@needs("make")
def blend(request: HttpRequest, code: str) -> HttpResponse:
    """A spare bucket goes into this one: what it makes is said before."""
    return look_then_do(
        request, code, BlendForm, _foresee_blend, blend_fill, _said_of_blend, template="buckets/blend.html"
    )


def _foresee_blend(
    fill: Fill,
    at: datetime,
    *,
    spare: Fill,
    volume_l: Decimal,
    stirred: bool,
    another_glaze: bool,
    glaze: str,
) -> lineage.Blend:
    if spare.emptied_at:
        raise FillEmptied(spare)
    return lineage.blend(fill, spare, volume_l, at, another_glaze=another_glaze, name=glaze)


def _said_of_blend(fill: Fill) -> str:
    return (
        f"{fill.vessel.code} holds {words.litres(fill.volume_l)} of {fill.glaze} now, a new fill. Its SG "
        f"should be about {words.sg(fill.predicted_sg or 0)}: stir to the floor and measure. Its new "
        "label is ready to print; take the old ones off."
    )


@needs("make")
def split(request: HttpRequest, code: str) -> HttpResponse:
    """Some of it, or all, into an empty bucket."""
    return look_then_do(
        request,
        code,
        SplitForm,
        _foresee_parting,
        split_fill,
        _said_of_split,
        template="buckets/split.html",
        then=bucket_url,
    )


def _foresee_parting(
    fill: Fill, at: datetime, *, vessel: Any, volume_l: Decimal, stirred: bool
) -> lineage.Parting:
    return lineage.parting(fill, vessel, volume_l, at)


def _said_of_split(fill: Fill) -> str:
    return (
        f"{words.litres(fill.volume_l)} of {fill.glaze} are in {fill.vessel.code} now. Its label is ready to "
        "print: stick it on before the next person comes by."
    )


@needs("room")
def move(request: HttpRequest, code: str) -> HttpResponse:
    """It stands somewhere else."""
    return fill_page(
        request,
        code,
        MoveForm,
        move_bucket,
        lambda row: f"{code} stands at {row.fill.vessel.place}.",
        title="It stands somewhere else",
        lead="What is in it and its label stay the same.",
        button="It stands there now",
        icon="shelf",
    )


@needs("see")
def fill_as_it_was(request: HttpRequest, number: int) -> HttpResponse:
    """A fill by its number, in a bucket still or gone on: where from, where to, its story."""
    fill = get_object_or_404(
        Fill.objects.select_related("vessel", "recipe", "version__recipe"), number=number
    )
    story = story_of(fill, person(request))
    context = {
        "fill": fill,
        "vessel": fill.vessel,
        "parents": fill.parents.select_related("batch", "parent_fill__vessel").order_by("id"),
        "children": fill.children.select_related("fill__vessel").order_by("id"),
        "made_of": lineage.made_of(fill),
        "story": story.events,
        "story_lines": story_lines(story.events, timezone.localtime()),
        "units": units_of(request),
    }
    return render(request, "buckets/fill.html", context)
