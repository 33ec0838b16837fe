"""Take over a bucket that stood on the shelf before the studio kept its book here."""

from django.http import HttpRequest, HttpResponse

from buckets.forms.taking_over import TakeOverForm
from buckets.models import Fill
from buckets.operations.fills import take_over_bucket
from buckets.queries import empty_vessels
from buckets.views.at import bucket_url
from studio.pages import act_page, bound
from studio.people.doors import needs


@needs("make")
def take_over(request: HttpRequest) -> HttpResponse:
    """Which bucket, what is in it, how much; SG and window if they are known."""
    form = bound(request, TakeOverForm, initial={"vessel": request.GET.get("bucket", "")[:12]})
    if request.method != "POST":
        form.fields["vessel"].queryset = empty_vessels()  # type: ignore[attr-defined]
    return act_page(
        request,
        form,
        take_over_bucket,
        template="buckets/take_over.html",
        then=bucket_url,
        said=_said,
    )


def _said(fill: Fill) -> str:
    return (
        f"{fill.glaze} in {fill.vessel.code} is on the shelf: history unknown, in testing. "
        "Release it when you trust it, and print its label."
    )
