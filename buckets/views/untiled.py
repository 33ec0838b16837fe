"""Released before its tile is fired, and the tile that was due."""

from typing import Any

from django.http import HttpRequest, HttpResponse

from buckets.forms.untiled import JudgeTileForm, UntiledForm
from buckets.models import Fill
from buckets.operations.untiled import conditions, judge_tile, release_untiled
from buckets.views.at import acted_on, fill_page
from studio.people.doors import EACH_TIME, needs


@needs("make", at_tablet=EACH_TIME)
def release(request: HttpRequest, code: str) -> HttpResponse:
    """What must be so for it, and whether it is."""
    fill = acted_on(request, code)
    found = conditions(fill) if fill else []
    return fill_page(
        request,
        code,
        UntiledForm,
        release_untiled,
        "In use, its tile due. A new label was made: print it and take the old one off.",
        template="buckets/release_untiled.html",
        conditions=found,
        all_met=bool(found) and all(condition.met for condition in found),
    )


@needs("make", at_tablet=EACH_TIME)
def judge(request: HttpRequest, code: str) -> HttpResponse:
    """The tile has been fired."""
    return fill_page(
        request,
        code,
        JudgeTileForm,
        judge_tile,
        _said,
        title="Judge the tile that was due",
        lead="The same clay as the recipe’s own tile, in the same light. A bad one holds the bucket.",
        button="Keep this",
        icon="kiln",
    )


def _said(fill: Fill) -> Any:
    if fill.held:
        return f"{fill.vessel.code} is held: its tile is bad. Say what becomes of it when you lift the hold."
    return "The tile is good and no longer due. A new label was made: print it and take the old one off."
