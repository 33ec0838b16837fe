"""What was reported: by anybody, with photos; a technician's page of it; where a bucket and a lot lead."""

from datetime import datetime
from typing import Any
from uuid import uuid4

from django.db.models import Count, Sum
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from buckets.advice import newest_reading
from buckets.answers import age
from buckets.doubt import age_of, doubt_of, held_for, order_of
from buckets.forms import reports as forms
from buckets.models import HeldByLot, Photo, Report, Use
from buckets.operations import lots, reports
from buckets.operations.standing import STANDS
from buckets.pictures import path_of
from buckets.queries import fill_in
from buckets.trace import Spread, origins, spread
from buckets.views.at import acted_on, bucket_url, fill_page, to_login, units_of
from buckets.worst import worst_of
from studio.materials.models import Lot
from studio.middleware import client_address
from studio.pages import act_page, bound, person
from studio.people import rights
from studio.people.doors import EACH_TIME, needs, open_to_all
from studio.room import policy

MOST_NAMES = 200
THANKS = "Thank you. The bucket is held now; a technician looks at it and answers."


# --- anybody


@open_to_all
def report(request: HttpRequest, code: str) -> HttpResponse:
    """Something is wrong with it. Anybody may say so, with photos; the bucket is held at once."""
    if away := to_login(request, policy.in_force()):
        return away
    fill = acted_on(request, code)
    if fill is None and request.method != "POST":
        return redirect("bucket", code)
    return act_page(
        request,
        bound(request, forms.ReportPageForm, fill=fill, files=request.FILES or None),
        reports.report,
        template="buckets/report.html",
        about={"fill": fill, "sender": "" if person(request) else _sender(request)},
        context={"code": code, "units": units_of(request), "kinds": Report.Kind.choices},
        then=lambda row: bucket_url(code),
        said=THANKS,
    )


def _sender(request: HttpRequest) -> str:
    return reports.sender_of(client_address(request))


@needs(rights.SEE)
def photo(request: HttpRequest, pk: int, size: str) -> HttpResponseBase:
    """A photo of a report, or its small copy, to people of the studio."""
    row = get_object_or_404(Photo, pk=pk)
    path = path_of(row.small_digest if size == "small" else row.digest)
    try:
        answer = FileResponse(path.open("rb"), content_type="image/jpeg")
    except FileNotFoundError as error:
        raise Http404("This photo is not there any more.") from error
    answer.headers["Content-Disposition"] = f'inline; filename="photo-{row.pk}.jpg"'
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    # Its content never changes: the address names a row, the row a hash. Private: it passes no shared cache.
    answer.headers["Cache-Control"] = "private, max-age=86400, immutable"
    return answer


# --- a technician


ROWS = Report.objects.select_related("by", "answered_by", "fill__vessel", "fill__tile", "fill__check_reading")


def _row(code: str, pk: int) -> Report:
    return get_object_or_404(ROWS, pk=pk, fill__vessel__code=code)


def report_url(row: Report) -> str:
    """The technician's page of a report."""
    return reverse("report-page", args=[row.fill.vessel.code, row.pk])


@needs(rights.MAKE)
def report_page(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """One report: the window of doubt, who used the fill in it, in which order to look, the decision."""
    row = _row(code, pk)
    return render(request, "buckets/report_page.html", _context(row))


def _context(row: Report) -> dict[str, Any]:
    now, rules = timezone.now(), policy.in_force()
    doubt, came, held = doubt_of(row), origins(row.fill), held_for(row, now)
    return {
        "report": row,
        "code": row.fill.vessel.code,
        "fill_row": row.fill,
        "photos": list(row.photos.all()),
        "age": age_of(row, now, rules),
        "held_words": "" if held is None else age(held.total_seconds()),
        "doubt": doubt,
        "order": order_of(row, came, doubt, rules),
        "came": came,
    }


@needs(rights.MAKE, at_tablet=EACH_TIME)
def answer(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A technician answers a report with a decision, which may lift the hold."""
    row = _row(code, pk)
    return act_page(
        request,
        bound(request, forms.AnswerReportForm),
        reports.answer_report,
        template="buckets/answer_report.html",
        about={"report": row},
        context={"code": code, "fill_row": row.fill},
        then=_after_answer,
        said=_said_after,
    )


def _after_answer(row: Report) -> str:
    if row.decision == Report.Decision.RETIRE and row.fill.emptied_at is None:
        return reverse("empty-fill", args=[row.fill.vessel.code])
    return bucket_url(row.fill.vessel.code)


def _said_after(row: Report) -> str:
    said = "Answered; the reporter and whoever used it are told."
    if row.decision == Report.Decision.RETIRE and row.fill.emptied_at is None:
        return f"{said} The bucket stays held until it is emptied."
    if row.decision in Report.LIFTING and row.fill.held:
        return f"{said} It stays held: {row.fill.held_reason}."
    return said


@needs(rights.MAKE)
def set_doubt(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """Set until when the fill was surely good."""
    row = _row(code, pk)
    at: datetime = row.good_until or doubt_of(row).good.at
    initial = {"good_until": timezone.localtime(at), "good_why": row.good_why}
    return act_page(
        request,
        bound(request, forms.DoubtForm, initial=initial),
        reports.set_doubt,
        template="buckets/set_doubt.html",
        about={"report": row},
        context={"code": code, "fill_row": row.fill},
        then=report_url,
        said="The window of doubt is set.",
    )


@needs(rights.MAKE)
def worst_case(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """How much of another glaze may be in it, at the very most. Nothing is written."""
    row = _row(code, pk)
    asked = request.GET if "foreign_l_0" in request.GET else None
    form = forms.WorstCaseForm({**asked.dict(), "key": str(uuid4())} if asked else None, initial=_there(row))
    found = None
    if asked and form.is_valid():
        found = worst_of(form, row.fill)
    context = {"report": row, "code": code, "fill_row": row.fill, "form": form, "found": found}
    return render(request, "buckets/worst_case.html", context, status=422 if form.errors else 200)


def _there(row: Report) -> dict[str, Any]:
    """What the bucket holds, as the form begins."""
    reading = newest_reading(row.fill)
    return {"volume_l": row.fill.volume_l or None, "sg": reading.sg if reading else None}


@needs(rights.MAKE, at_tablet=EACH_TIME)
def clear_tint(request: HttpRequest, code: str) -> HttpResponse:
    """Tile and reading of a tinted fill were looked at."""
    return fill_page(
        request,
        code,
        forms.ClearTintForm,
        reports.clear_tint,
        "It is not marked as tinted any more.",
        title="Take the mark “tinted” off",
        lead="Tile fired and read, reading taken. What is said here stays in the story of the fill.",
        button="Take it off",
        icon="tick",
    )


# --- where it came from, where it went


@needs(rights.SEE)
def trace_fill(request: HttpRequest, code: str) -> HttpResponse:
    """Where what is in a bucket came from: fills, batches and lots, with their shares of the dry mass."""
    fill = fill_in(code)
    if fill is None:
        return redirect("bucket", code)
    context = {"fill": fill, "code": code, "came": origins(fill), "may_make": _may_make(request)}
    return render(request, "buckets/trace_fill.html", context)


@needs(rights.SEE)
def trace_lot(request: HttpRequest, code: str) -> HttpResponse:
    """Where a lot went: batches, fills and the buckets they are in now."""
    lot = _lot(code)
    went = spread(lot)
    standing = list(_standing(lot))
    under = {row.fill_id for row in standing}
    context = {
        "lot": lot,
        "went": went,
        "standing": standing,
        "under": under,
        "more": [one for one in went.open if one.fill.pk not in under],
        "may_make": _may_make(request),
        **_used(went),
    }
    return render(request, "buckets/trace_lot.html", context)


def _used(went: Spread) -> dict[str, Any]:
    """How often and by whom glaze was taken from these fills."""
    uses = Use.objects.filter(STANDS, fill__in=[one.fill.pk for one in went.fills]).order_by()
    used = uses.aggregate(logs=Count("pk"), pieces=Sum("pieces"), people=Count("by", distinct=True))
    names = uses.exclude(by=None).values_list("by__name", flat=True).distinct()
    return {"used": used, "users": sorted(names[:MOST_NAMES])}


def _lot(code: str) -> Lot:
    return get_object_or_404(Lot.objects.select_related("material"), code=code)


def _standing(lot: Lot) -> Any:
    rows = HeldByLot.objects.filter(hold__lot=lot, lifted_at=None, fill__emptied_at=None)
    return rows.select_related("hold", "fill__vessel").order_by("fill__vessel__code")


def _may_make(request: HttpRequest) -> bool:
    return bool(person(request).may(rights.MAKE))


@needs(rights.MAKE)
def hold_all_of_lot(request: HttpRequest, code: str) -> HttpResponse:
    """Hold every bucket with any share of a lot, after listing them."""
    lot = _lot(code)
    went, under = spread(lot), {row.fill_id for row in _standing(lot)}
    return act_page(
        request,
        bound(request, forms.HoldLotForm),
        lots.hold_all_of_lot,
        template="buckets/hold_lot.html",
        about={"lot": lot},
        context={"fills": [one for one in went.open if one.fill.pk not in under]},
        then=lambda row: reverse("trace-lot", args=[code]),
        said="Held. Whoever used them is told; tell the room, too: logs are incomplete.",
    )


@needs(rights.MAKE, at_tablet=EACH_TIME)
def lift_all_of_lot(request: HttpRequest, code: str) -> HttpResponse:
    """Lift the hold of a lot from every bucket, with the decision."""
    lot = _lot(code)
    return act_page(
        request,
        bound(request, forms.LiftLotForm),
        lots.lift_all_of_lot,
        template="buckets/lift_lot.html",
        about={"lot": lot},
        context={"standing": list(_standing(lot))},
        then=lambda row: reverse("trace-lot", args=[code]),
        said="Lifted. What is held for another reason stays held for that.",
    )
