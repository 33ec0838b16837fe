"""Pages that show a secret once: the answer to the post itself, kept in no session and no cache."""

from collections.abc import Callable, Mapping
from typing import Any

import segno
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.cache import add_never_cache_headers

from studio.errors import Refused
from studio.fields import ActForm
from studio.pages import ask_again, person


def show_once(
    request: HttpRequest,
    form: ActForm,
    do: Callable[..., Any],
    *,
    template: str,
    shown: str,
    secret: Callable[[Any], Mapping[str, Any]],
    about: Mapping[str, Any] | None = None,
    context: Mapping[str, Any] | None = None,
) -> HttpResponse:
    """Like ``act_page``, but a good post answers with ``shown``, which holds what ``secret(row)`` gives.

    A repeat of the post finds the row without its secret; the page then says so.
    """
    facts = {**(context or {}), **(about or {}), "form": form}
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and form.is_valid():
        try:
            row = do(by=person(request), **(about or {}), **form.act_args())
        except Refused as refusal:
            ask_again(form, refusal)
        else:
            template, status = shown, 200
            facts |= {"row": row, **secret(row)}
    response = render(request, template, facts, status=status)
    add_never_cache_headers(response)
    return response


def link(path: str) -> dict[str, Any]:
    """A whole address to send somebody, and the same as a QR code; nothing without a path."""
    if not path:
        return {"link": "", "qr": ""}
    address = settings.STIRBOOK_URL + path
    return {"link": address, "qr": qr(address)}


def qr(text: str) -> SafeString:
    """A QR code as a drawing, black on white in the dark too: cameras want it so."""
    code = segno.make(text, error="m")
    drawn = code.svg_inline(border=4, dark="#000", light="#fff", svgclass="qr", omitsize=True)
    return mark_safe(drawn)  # noqa: S308 - squares only; the text itself is not in it
