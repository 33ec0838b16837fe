"""Labels that are out of date: what each says, what is known now, and printing it anew."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buckets.models import Fill
from studio.front.outdated import outdated
from studio.pages import person
from studio.people.doors import needs
from studio.people.rights import WET

FILL = Fill._meta.label_lower


@needs("see")
@require_safe
def labels_out_of_date(request: HttpRequest) -> HttpResponse:
    """The list, with one button that prints all the buckets' labels anew."""
    rows = outdated()
    context = {
        "rows": rows,
        "fills": [label.on_id for label in rows if label.on_kind == FILL],
        "may_print": person(request).may(WET),
    }
    return render(request, "front/labels_out_of_date.html", context)
