"""The API does the same acts through the same forms as the pages, with one error shape."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django import forms
from django.core.exceptions import PermissionDenied
from django.db import models
from django.http import Http404, QueryDict
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import exceptions, pagination, serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from studio.errors import Refused
from studio.fields import ActForm, AmountField, NumberField
from studio.people.doors import needs


class Problem(serializers.Serializer):
    """What went wrong: a sentence, and sentences beside the fields they belong to."""

    problem = serializers.CharField()
    fields = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))  # type: ignore[assignment]


class Invalid(Exception):
    """The form refused what was sent."""

    def __init__(self, form: forms.Form) -> None:
        self.form = form


def problem(exc: Exception, context: dict[str, Any]) -> Response | None:
    """DRF's exception handler: every refusal leaves as {"problem", "fields"}."""
    if isinstance(exc, Refused):
        fields = {exc.field: [exc.sentence]} if exc.field else {}
        return Response({"problem": exc.sentence, "fields": fields}, status=exc.status)
    if isinstance(exc, Invalid):
        fields = {
            name: list(map(str, errors)) for name, errors in exc.form.errors.items() if name != "__all__"
        }
        whole = [str(e) for e in exc.form.non_field_errors()]
        said = whole[0] if whole else "Something in what was sent needs a correction."
        return Response({"problem": said, "fields": fields}, status=422)
    if isinstance(exc, Http404):
        exc = exceptions.NotFound()
    if isinstance(exc, PermissionDenied):
        exc = exceptions.PermissionDenied()
    if isinstance(exc, exceptions.APIException):
        headers = {"WWW-Authenticate": exc.auth_header} if getattr(exc, "auth_header", None) else {}
        detail = (
            exc.detail if isinstance(exc.detail, str) else "Something in what was sent needs a correction."
        )
        fields = exc.detail if isinstance(exc.detail, dict) else {}
        return Response({"problem": str(detail), "fields": fields}, status=exc.status_code, headers=headers)
    return None


class Pages(pagination.CursorPagination):
    """Cursor pages, newest first: no counting of a million rows."""

    ordering = "-id"
    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = 200


def serializer_of(form_class: type[forms.Form], name: str) -> type[serializers.Serializer]:
    """What the form accepts, as a serializer for the OpenAPI description (not used to validate)."""
    declared: dict[str, Any] = {}
    for field_name, field in form_class.base_fields.items():
        if field_name != "key":
            declared[field_name] = _described(field)
    return type(name, (serializers.Serializer,), declared)


def _described(field: forms.Field) -> serializers.Field:
    about = {
        "required": field.required,
        "allow_null": not field.required,
        "help_text": " ".join(str(t) for t in (field.label, field.help_text) if t),
    }
    if isinstance(field, AmountField):
        return type(
            f"{type(field).__name__}Amount",
            (serializers.Serializer,),
            {
                "amount": serializers.CharField(help_text="a number as text or JSON number"),
                "unit": serializers.ChoiceField(choices=list(field.choices)),
            },
        )(**about)
    if isinstance(field, NumberField):
        unit = f" ({field.unit})" if field.unit else ""
        return serializers.CharField(**{**about, "help_text": about["help_text"] + unit})
    if isinstance(field, forms.BooleanField):
        return serializers.BooleanField(**{k: v for k, v in about.items() if k != "allow_null"})
    if isinstance(field, forms.ModelChoiceField):
        return serializers.CharField(**about)
    if isinstance(field, forms.ChoiceField):
        choices = [c for c in field.choices if c[0] != ""] if not callable(field.choices) else []
        return (
            serializers.ChoiceField(choices=choices, **about) if choices else serializers.CharField(**about)
        )
    if isinstance(field, forms.IntegerField):
        return serializers.IntegerField(**about)
    if isinstance(field, forms.DateTimeField):
        return serializers.DateTimeField(**about)
    if isinstance(field, forms.DateField):
        return serializers.DateField(**about)
    return serializers.CharField(**about)


def form_data(form_class: type[forms.Form], body: Any, key: UUID) -> QueryDict:
    """A JSON body as form data: {"amount", "unit"} becomes the two halves of an amount field."""
    if not isinstance(body, dict):
        raise exceptions.ParseError("Send a JSON object.")
    data = QueryDict(mutable=True)
    for name, value in body.items():
        if value is None or value is False:
            continue
        if isinstance(value, dict):
            data[f"{name}_0"], data[f"{name}_1"] = (
                _text(value.get("amount", "")),
                _text(value.get("unit", "")),
            )
        elif isinstance(value, list):
            data.setlist(name, [_text(v) for v in value])
        else:
            data[name] = "on" if value is True else _text(value)
    data["key"] = str(key)
    return data


def _text(value: Any) -> str:
    """A JSON value as a form would send it; half a surrogate pair is JSON, but no text."""
    text = str(value)
    try:
        text.encode()
    except UnicodeEncodeError as error:
        raise exceptions.ParseError("The text holds half of a character. Send whole ones.") from error
    return text


KEY_HEADER = OpenApiParameter(
    "Idempotency-Key",
    OpenApiTypes.UUID,
    OpenApiParameter.HEADER,
    required=True,
    description="A UUID made by the client for this act. The same key again answers with the first result.",
)


class ActView(APIView):
    """One act over the API: POST a JSON body, get the row that was written.

    Subclasses come from ``act_view``.
    """

    form_class: type[ActForm]
    do: Callable[..., models.Model]
    output: type[serializers.Serializer]

    def about(self, request, **kwargs) -> dict[str, Any]:
        return {}

    def form_kwargs(self, request, about) -> dict[str, Any]:
        return {}

    def answer(self, request, **kwargs) -> Response:
        about = self.about(request, **kwargs)
        data = form_data(self.form_class, request.data, self._key(request))
        form = self.form_class(data, **self.form_kwargs(request, about))
        if not form.is_valid():
            raise Invalid(form)
        row = type(self).do(by=request.user, **about, **form.act_args())
        return Response(self.output(row, context={"request": request}).data, status=status.HTTP_201_CREATED)

    def _key(self, request) -> UUID:
        try:
            return UUID(request.headers["Idempotency-Key"])
        except (KeyError, ValueError) as error:
            raise exceptions.ParseError("Send the header Idempotency-Key with a UUID of your own.") from error


def act_view(
    name: str,
    *,
    right: str,
    form: type[ActForm],
    do: Callable[..., models.Model],
    output: type[serializers.Serializer],
    about: Callable[..., dict[str, Any]] | None = None,
    form_kwargs: Callable[..., dict[str, Any]] | None = None,
    says: str = "",
) -> Callable[..., Any]:
    """A view for one act: ``about(request, **url_kwargs)`` fetches the rows it is about."""
    members: dict[str, Any] = {
        "form_class": form,
        "do": staticmethod(do),
        "output": output,
        "__doc__": says or do.__doc__,
    }
    if about:
        members["about"] = lambda self, request, **kw: about(request, **kw)
    if form_kwargs:
        members["form_kwargs"] = lambda self, request, rows: form_kwargs(request, rows)
    answers = {201: output, **{code: OpenApiResponse(Problem) for code in (400, 401, 403, 404, 409, 422)}}

    @extend_schema(
        operation_id=name,
        request=serializer_of(form, f"{name}Input"),
        responses=answers,
        parameters=[KEY_HEADER],
        description=says or do.__doc__ or "",
    )
    def post(self, request, **kwargs):
        return self.answer(request, **kwargs)

    members["post"] = post
    return needs(right)(type(name, (ActView,), members)).as_view()
