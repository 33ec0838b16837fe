"""Which bucket and which fill a page is about, and who may look."""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from buckets.forms.acting import FillForm
from buckets.models import Fill
from buckets.queries import fill_in
from studio.pages import act_page, bound, person
from studio.room.models import Vessel
from studio.room.policy import Policy


def bucket_url(fill: Fill | str) -> str:
    """The page of the bucket that holds this fill, or that has this code."""
    return reverse("bucket", args=[fill if isinstance(fill, str) else fill.vessel.code])


def to_login(request: HttpRequest, policy: Policy) -> HttpResponse | None:
    """Send a stranger to the log-in unless the studio opens its buckets to whoever scans them."""
    if person(request) is not None or policy.open_bucket_pages:
        return None
    return redirect_to_login(request.get_full_path(), settings.LOGIN_URL)


def acted_on(request: HttpRequest, code: str) -> Fill | None:
    """The fill a page acts on: what is in the bucket now, or what the posted form was opened for.

    None when the bucket is empty, or when a form says a fill that was never in it.
    """
    vessel = get_object_or_404(Vessel, code=code)
    if request.method != "POST":
        return fill_in(vessel.code)
    said = request.POST.get("fill", "")
    if not said.isascii() or not said.isdigit() or len(said) > 18:
        return None
    return Fill.objects.select_related("vessel").filter(vessel=vessel, pk=int(said)).first()


def units_of(request: HttpRequest) -> str:
    """The units a reader wants beside ours; a stranger's are not known."""
    reader = person(request)
    return reader.units if reader else "metric"


def fill_page(
    request: HttpRequest,
    code: str,
    form_class: type[FillForm],
    do: Callable[..., Any],
    said: Callable[[Any], str] | str,
    *,
    template: str = "buckets/act.html",
    **words_of_page: Any,
) -> HttpResponse:
    """The page of one act on the fill in a bucket; an empty bucket's own page when there is none."""
    fill = acted_on(request, code)
    if fill is None and request.method != "POST":
        return redirect("bucket", code)
    return act_page(
        request,
        bound(request, form_class, fill=fill),
        do,
        template=template,
        about={"fill": fill},
        context={"code": code, "units": units_of(request), **words_of_page},
        then=lambda row: bucket_url(code),
        said=said,
    )
