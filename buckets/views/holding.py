"""A bucket held, lifted, released into use."""

from django.http import HttpRequest, HttpResponse

from buckets.forms import holding as forms
from buckets.operations import holding
from buckets.views.at import fill_page
from studio.people.doors import EACH_TIME, needs


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


@needs("make", at_tablet=EACH_TIME)
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


@needs("make", at_tablet=EACH_TIME)
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
