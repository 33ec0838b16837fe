"""What is wrong with a bucket: reported by anybody, held, answered, lifted; and released into use."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from buckets.forms import holding as forms
from buckets.models import Report
from buckets.operations import holding
from buckets.operations.reports import answer_report
from buckets.operations.reports import report as report_it
from buckets.views.at import bucket_url, fill_page, to_login
from studio.pages import act_page, bound
from studio.people.doors import needs, open_to_all
from studio.room import policy


@open_to_all
def report(request: HttpRequest, code: str) -> HttpResponse:
    """Something is wrong with it. Anybody may say so; the bucket is held at once."""
    if away := to_login(request, policy.in_force()):
        return away
    return fill_page(
        request,
        code,
        forms.ReportForm,
        report_it,
        "Thank you. The bucket is held now; a technician looks at it and answers.",
        title="Something is wrong with it",
        lead="The bucket is held at once and nobody dips from it until a technician has looked. "
        "A false alarm costs nothing.",
        button="Report it and hold the bucket",
        icon="wrong",
        warn=True,
    )


@needs("make")
def hold_fill(request: HttpRequest, code: str) -> HttpResponse:
    """Hold a bucket without a report."""
    return fill_page(
        request,
        code,
        forms.HoldForm,
        holding.hold_fill,
        "The bucket is held.",
        title="Hold the bucket",
        lead="Nobody dips from it until the hold is lifted with a decision.",
        button="Hold it",
        icon="lock",
        warn=True,
    )


@needs("make")
def lift_hold(request: HttpRequest, code: str) -> HttpResponse:
    """Lift a hold, with the decision."""
    return fill_page(
        request,
        code,
        forms.LiftForm,
        holding.lift_hold,
        "The hold is lifted.",
        title="Lift the hold",
        lead="The bucket goes back to the state it had before.",
        button="Lift the hold",
        icon="tick",
    )


@needs("make")
def release_fill(request: HttpRequest, code: str) -> HttpResponse:
    """The tile is good: into use, with a new label."""
    return fill_page(
        request,
        code,
        forms.ReleaseForm,
        holding.release_fill,
        "In use. A new label without “testing” was made: print it and take the old one off.",
        title="Release into use",
        lead="The test tile was fired and it is good. A new label is made; the old one is void.",
        button="Release it",
        icon="tick",
    )


@needs("make")
def answer(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """A technician answers a report, and may lift the hold with it."""
    row = get_object_or_404(
        Report.objects.select_related("by", "fill__vessel"), pk=pk, fill__vessel__code=code
    )
    return act_page(
        request,
        bound(request, forms.AnswerReportForm),
        answer_report,
        template="buckets/answer_report.html",
        about={"report": row},
        context={"code": code, "fill_row": row.fill},
        then=lambda _: bucket_url(code),
        said="Answered.",
    )
