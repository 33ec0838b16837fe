"""Pages that first say what will be so, and then do it."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from buckets.errors import FillEmptied
from buckets.forms.acting import FillForm
from buckets.models import Fill
from buckets.views.at import acted_on, bucket_url, units_of
from studio.errors import Refused
from studio.pages import act_page, ask_again, bound

LOOK = "look"  # the name of the button that only shows


def look_then_do(
    request: HttpRequest,
    code: str,
    form_class: type[FillForm],
    foresee: Callable[..., Any],
    do: Callable[..., Any],
    said: Callable[[Any], str],
    *,
    template: str,
    then: Callable[[Any], Any] | None = None,
    **context: Any,
) -> HttpResponse:
    """One act on the fill in a bucket. Sent with the button ``look`` it is worked out and nothing is written.

    ``foresee(fill, at, **told)`` gives what will be so, as ``after`` for the template; it refuses as ``do``.
    """
    fill = acted_on(request, code)
    if fill is None and request.method != "POST":
        return redirect("bucket", code)
    form = bound(request, form_class, fill=fill)
    about = {"fill": fill}
    context = {"code": code, "units": units_of(request), **context}
    if request.method == "POST" and LOOK in request.POST:
        after = _foreseen(form, fill, foresee)
        status = 422 if after is None else 200
        return render(request, template, {**context, **about, "form": form, "after": after}, status=status)
    return act_page(
        request,
        form,
        do,
        template=template,
        about=about,
        context=context,
        then=then or (lambda row: bucket_url(code)),
        said=said,
    )


def _foreseen(form: Any, fill: Fill | None, foresee: Callable[..., Any]) -> Any:
    if not form.is_valid() or fill is None:
        return None
    told = {name: value for name, value in form.act_args().items() if name not in ("key", "raw")}
    try:
        if fill.emptied_at:
            raise FillEmptied(fill)
        return foresee(fill, timezone.now(), **told)
    except Refused as refusal:
        ask_again(form, refusal)
        return None
