"""How a page does an act: show the form, judge what was typed, do it, go on or ask again."""

from collections.abc import Callable, Mapping
from typing import Any

from django import forms
from django.contrib import messages
from django.db import models
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from studio.errors import KeyUsedOtherwise, Refused
from studio.fields import ActForm


def bound(request: HttpRequest, form_class: type[ActForm], **kwargs: Any) -> ActForm:
    """The form with what was posted, or empty on GET."""
    return form_class(request.POST if request.method == "POST" else None, **kwargs)


def person(request: HttpRequest) -> Any:
    """Who acts: the signed-in member, or None."""
    return request.user if request.user.is_authenticated else None


def act_page(
    request: HttpRequest,
    form: ActForm,
    do: Callable[..., models.Model],
    *,
    template: str,
    then: Callable[[Any], Any],
    about: Mapping[str, Any] | None = None,
    context: Mapping[str, Any] | None = None,
    said: Callable[[Any], str] | str = "",
) -> HttpResponse:
    """Show ``form`` in ``template``; when it was posted and is good, ``do`` it.

    Sent with the button ``more``, a form of rows is shown again with more of them and nothing is done.

    ``do`` gets ``by``, the rows in ``about`` and the form's ``act_args()``. ``then(row)`` is where to
    go afterwards (anything ``redirect`` takes), ``said`` the sentence shown there. What was typed
    stays on the page when it is refused, with status 422.
    """
    only_more = "more" in request.POST
    sent = request.method == "POST" and not only_more
    if sent and form.is_valid():
        try:
            row = do(by=person(request), **(about or {}), **form.act_args())
        except Refused as refusal:
            ask_again(form, refusal)
        else:
            sentence = said(row) if callable(said) else said
            if sentence:
                messages.success(request, sentence)
            return go(request, then(row))
    shown = {**(context or {}), **(about or {}), "form": form, "only_more": only_more}
    return render(request, template, shown, status=422 if sent else 200)


def ask_again(form: forms.Form, refusal: Refused) -> None:
    """Put a refusal beside its field (or above the form) so that the page can say it."""
    form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
    if isinstance(refusal, KeyUsedOtherwise):
        form.renew_key()


def go(request: HttpRequest, to: Any) -> HttpResponse:
    """After a good post: 303 to the next page; htmx is told to follow it."""
    response = redirect(to)
    if request.headers.get("HX-Request"):
        return HttpResponse(status=204, headers={"HX-Redirect": response.url})
    response.status_code = 303
    return response
