"""A reading that was not as expected: which of the five it was, what would be so, and done."""

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from buckets.answers import answer_of
from buckets.balance import Gap
from buckets.forms.explaining import ASKED, ExplainForm, MoveReadingForm, Why
from buckets.happened import asked_of
from buckets.models import Fill, Interval, Reading
from buckets.operations.explaining import explain_reading, move_reading
from buckets.queries import dip_check_of, fill_in
from buckets.unexpected import answers_for, gap_to
from buckets.views.at import bucket_url, units_of
from buckets.views.looking import LOOK
from studio.errors import Refused
from studio.pages import act_page, ask_again, bound, person
from studio.people.doors import needs
from studio.quantities import rounded
from studio.room import policy

SAID: dict[str, str] = {
    Why.FORGOT: "Written down at its own time, and worked out again. Stir, then measure.",
    Why.UNSTIRRED: "The reading is crossed out. Stir to the floor, then measure again.",
    Why.OTHER_BUCKET: "The reading is crossed out here and written down there. Measure this bucket, too.",
    Why.CONTAMINATED: "The bucket is held, and whoever used it lately is told.",
    Why.OTHER: "Kept beside the reading.",
}


def _reading(code: str, pk: int) -> Reading:
    rows = Reading.objects.select_related("fill__vessel", "by", "replaced_by")
    return get_object_or_404(rows, pk=pk, fill__vessel__code=code, replaces=None, sg__isnull=False)


@needs("use")
def explain(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """What was it? First the five answers, then the one that was chosen, with what will be so afterwards."""
    row = _reading(code, pk)
    if getattr(row, "replaced_by", None):
        return render(request, "buckets/explain.html", {"code": code, "row": row, "fill": row.fill})
    gap = gap_to(row)
    context = _context(request, code, row, gap)
    why = request.POST.get("why") or request.GET.get("why", "")
    if request.method != "POST" and why not in ASKED:
        return render(request, "buckets/explain.html", context)
    form = bound(request, ExplainForm, initial=_initial(why, gap))
    chosen = next((one for one in context["answers"] if one.why == why), None)
    context |= {"chosen": chosen, "fields": [form[name] for name in ASKED.get(why, ())]}
    if request.method == "POST" and LOOK in request.POST:
        after = _tried(form, row, person(request))
        status = 200 if after else 422
        return render(
            request, "buckets/explain.html", {**context, "form": form, "after": after}, status=status
        )
    return act_page(
        request,
        form,
        explain_reading,
        template="buckets/explain.html",
        about={"reading": row},
        context=context,
        then=lambda _: bucket_url(code),
        said=lambda said: SAID[said.why],
    )


def _context(request: HttpRequest, code: str, row: Reading, gap: Gap) -> dict[str, Any]:
    newest = row.pk == row.fill.check_reading_id
    return {
        "code": code,
        "fill": row.fill,
        "row": row,
        "gap": gap,
        "asked": asked_of(gap),
        "answers": answers_for(row.fill, gap, newest=newest),
        "units": units_of(request),
    }


def _initial(why: str, gap: Gap) -> dict[str, Any]:
    water_l = asked_of(gap).water_l
    told = None if water_l is None or not water_l else rounded(abs(water_l), 2)
    return {"why": why, "volume_l": told or None}


@dataclass(frozen=True, kw_only=True)
class After:
    """What would be so: of this reading, and of the buckets it touches."""

    interval: Interval | None
    buckets: list[dict[str, Any]]


def _tried(form: Any, row: Reading, by: Any) -> After | None:
    """The answer tried and taken back whole: the same refusals and sums, and nothing of it stays."""
    if not form.is_valid():
        return None
    told = {name: value for name, value in form.act_args().items() if name != "key"}
    try:
        with transaction.atomic():
            explain_reading(reading=row, by=by, **told)
            there = [row.fill, *([told["to_fill"]] if told.get("to_fill") else [])]
            interval = Interval.objects.filter(reading=row).first()
            after = After(interval=interval, buckets=[_stands(fill) for fill in there])
            transaction.set_rollback(True)
    except Refused as refusal:
        ask_again(form, refusal)
        return None
    return after


def _stands(fill: Fill) -> dict[str, Any]:
    """A bucket as it would stand, worked out before it is taken back."""
    rules, now = policy.in_force(), timezone.now()
    found = fill_in(fill.vessel.code)
    assert found is not None  # noqa: S101 - the act has refused an empty one
    answer = answer_of(found, dip_check_of(found, now, rules), now, rules)
    return {"fill": found, "reading": found.check_reading, "answer": answer}


@needs("use")
def move(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A reading that was put on the wrong bucket."""
    row = _reading(code, pk)
    return act_page(
        request,
        bound(request, MoveReadingForm),
        move_reading,
        template="buckets/act.html",
        about={"reading": row},
        context={
            "code": code,
            "fill": row.fill,
            "title": "It belongs to another bucket",
            "lead": "The reading is crossed out here and written down there as it was taken: same numbers, "
            "instruments, time and person. Chart and dip check of both buckets are worked out again.",
            "button": "Move it",
            "icon": "bucket",
        },
        then=lambda there: reverse("reading", args=[there.fill.vessel.code, there.pk]),
        said="Moved. Both buckets were worked out again.",
    )
