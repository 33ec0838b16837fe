"""One shape for whatever goes wrong: a sentence, and sentences beside the fields they belong to."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.views import defaults
from rest_framework import exceptions, serializers
from rest_framework.response import Response

from studio.errors import Refused

CORRECT = "Something in what was sent needs a correction."
NOT_THERE = "There is nothing at this address."
WENT_WRONG = "Something went wrong here, and nothing was saved. It is in the log of the server."
NO_CSRF = "This came without the token of our own pages. Programs send Authorization: Bearer <token> instead."


class Problem(serializers.Serializer):
    """What went wrong: a sentence, and sentences beside the fields they belong to."""

    problem = serializers.CharField(help_text="one sentence for a person")
    fields = serializers.DictField(  # type: ignore[assignment]
        child=serializers.ListField(child=serializers.CharField()), help_text="sentences by field name"
    )


class Invalid(Exception):
    """What was sent can't be taken: sentences by field, and for the whole.

    422 for a body; 400 for what stands in the address.
    """

    def __init__(self, fields: Mapping[str, list[str]], whole: str = "", *, status: int = 422) -> None:
        super().__init__(whole or CORRECT)
        self.fields, self.whole, self.status = dict(fields), whole, status

    @classmethod
    def of(cls, form: forms.Form, also: Mapping[str, list[str]] | None = None) -> "Invalid":
        """What a form said; ``also`` holds what was found before it and counts more."""
        said = {name: list(map(str, errors)) for name, errors in form.errors.items() if name != "__all__"}
        for number, row in enumerate(form.rows if hasattr(form, "row_form") else ()):
            said |= {f"rows.{number}.{name}": list(map(str, errors)) for name, errors in row.errors.items()}
        whole = [str(e) for e in form.non_field_errors()]
        return cls({**said, **(also or {})}, whole[0] if whole else "")


class TooMuch(exceptions.APIException):
    """More was sent than any act needs."""

    status_code = 413


def problem(exc: Exception, context: dict[str, Any]) -> Response | None:
    """DRF's exception handler: every refusal leaves as {"problem", "fields"}."""
    if isinstance(exc, Refused):
        fields = {exc.field: [exc.sentence]} if exc.field else {}
        return _said(exc.sentence, fields, exc.status)
    if isinstance(exc, Invalid):
        return _said(exc.whole or CORRECT, exc.fields, exc.status)
    if isinstance(exc, Http404):
        exc = exceptions.NotFound()
    if isinstance(exc, PermissionDenied):
        exc = exceptions.PermissionDenied()
    if isinstance(exc, exceptions.APIException):
        return _said(_sentence(exc), {}, exc.status_code, _headers(exc))
    return None


def _said(
    sentence: str, fields: Mapping[str, Any], status: int, headers: Mapping[str, str] | None = None
) -> Response:
    return Response({"problem": sentence, "fields": dict(fields)}, status=status, headers=headers)


def _sentence(exc: exceptions.APIException) -> str:
    """Our words for what the framework refuses; its own only where it was given ours."""
    match exc:
        case exceptions.NotFound():
            return NOT_THERE
        case exceptions.NotAuthenticated():
            return "Sign in, or send a token: Authorization: Bearer <token>."
        case exceptions.MethodNotAllowed():
            return f"This address does not know {exc.detail.partition(chr(34))[2].partition(chr(34))[0]}."
        case exceptions.UnsupportedMediaType():
            return "Send JSON, with the header Content-Type: application/json."
        case exceptions.Throttled():
            return f"Too many requests in a short time. Wait {exc.wait or 1:.0f} s and send it again."
    text = str(exc.detail)
    return NO_CSRF if text.startswith("CSRF Failed") else text


def _headers(exc: exceptions.APIException) -> dict[str, str]:
    headers = {}
    if auth := getattr(exc, "auth_header", None):
        headers["WWW-Authenticate"] = auth
    if wait := getattr(exc, "wait", None):
        headers["Retry-After"] = f"{wait:.0f}"
    return headers


# --- what never reaches a view


def _for_program(request: HttpRequest) -> bool:
    return request.path.startswith("/api/")


def _answer(sentence: str, status: int) -> JsonResponse:
    return JsonResponse({"problem": sentence, "fields": {}}, status=status)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400 for a request that no view was asked about."""
    if _for_program(request):
        return _answer("This request can't be read.", 400)
    return defaults.bad_request(request, exception)


def not_there(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404 for an address that there is not: in words for a person, in the one shape for a program."""
    return _answer(NOT_THERE, 404) if _for_program(request) else defaults.page_not_found(request, exception)


def went_wrong(request: HttpRequest) -> HttpResponse:
    """500: our fault."""
    return _answer(WENT_WRONG, 500) if _for_program(request) else defaults.server_error(request)
