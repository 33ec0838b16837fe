"""The OpenAPI description, from what the views say of themselves."""

import re
from functools import cache
from typing import Any

from django import forms
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse

from studio.api_kit.problems import Problem
from studio.api_kit.sending import described, request_schema
from studio.api_kit.views import ActView, AskedWithBody, Question
from studio.people import rights
from studio.people.doors import OPEN, right_of

KEY_HEADER = OpenApiParameter(
    "Idempotency-Key",
    OpenApiTypes.UUID,
    OpenApiParameter.HEADER,
    required=True,
    description=(
        "A UUID that you make for this act. The same key again, with the same content, answers with the "
        "first row and writes nothing."
    ),
)
SAYS = {
    200: "Here it is.",
    201: "It is written; this is the row.",
    400: "The JSON, the key or something in the address can't be read.",
    401: "No token, or one that is unknown, revoked or of somebody who left.",
    403: "The right is missing; the sentence says which.",
    404: "There is no such row.",
    409: "The rules say no as things stand, or the key came before with other content.",
    413: "The body is too long.",
    415: "The body is not application/json.",
    422: "A field needs a correction; its sentence stands beside it.",
    429: "Too many requests; Retry-After says how many seconds to wait.",
}
AGAIN = "The key came before: the first row, and nothing was written."


class Described(AutoSchema):
    """Operations named by their views, with the right they need and every answer they give."""

    def get_operation_id(self) -> str:
        return getattr(self.view, "operation", "") or super().get_operation_id()

    def get_description(self) -> str:  # type: ignore[override]
        words = plain(type(self.view).__doc__ or "")
        return f"{words}\n\n{right_in_words(self._right())}".strip()

    def get_summary(self) -> str:
        return plain(type(self.view).__doc__ or "").split("\n\n")[0]

    def get_extensions(self) -> dict[str, Any]:
        return {"x-right": self._right()}

    def get_auth(self) -> list[dict[str, Any]]:
        found = super().get_auth()
        return [{}, *found] if self._right() == OPEN else found

    def get_override_parameters(self) -> list[Any]:
        found = super().get_override_parameters()
        query = getattr(self.view, "query", None)
        if query is not None:
            found = [*found, *(_asked(name, field) for name, field in query.base_fields.items())]
        return [*found, KEY_HEADER] if isinstance(self.view, ActView) else found

    def get_request_serializer(self) -> Any:
        if isinstance(self.view, ActView | AskedWithBody):
            return {"application/json": request_schema(self.view.form_class)}
        return super().get_request_serializer()

    def get_response_serializers(self) -> Any:
        good = {200: OpenApiResponse(self._output(), SAYS[200])}
        if isinstance(self.view, ActView):
            output = self._output()
            good = {200: OpenApiResponse(output, AGAIN), 201: OpenApiResponse(output, SAYS[201])}
        return good | {code: OpenApiResponse(Problem, SAYS[code]) for code in self._refusals()}

    def get_operation(self, *args: Any, **kwargs: Any) -> Any:
        operation = super().get_operation(*args, **kwargs)
        body = (operation or {}).get("requestBody")
        if body and body["content"].get("application/json", {}).get("schema", {}).get("required"):
            body["required"] = True
        return operation

    def _right(self) -> str:
        return right_of(type(self.view), self.method) or ""

    def _output(self) -> Any:
        if isinstance(self.view, ActView | Question | AskedWithBody):
            return self.view.output
        return super().get_response_serializers()

    def _refusals(self) -> list[int]:
        codes = {400, 401, 403, 429}
        if self._right() == OPEN:
            codes -= {401, 403}
        if "{" in self.path:
            codes.add(404)
        if self.method == "POST":
            codes |= {409, 413, 415, 422}
        return sorted(codes)


def plain(doc: str) -> str:
    """A docstring as paragraphs for programs: no line breaks inside, no marks for code, null for None."""
    said = re.sub(r"\bNone\b", "null", doc.replace("``", ""))
    lines = [line.strip() for line in said.strip().splitlines()]
    paragraphs = "\n".join(lines).split("\n\n")
    return "\n\n".join(" ".join(paragraph.split()) for paragraph in paragraphs)


def right_in_words(right: str) -> str:
    """Who may: the sentence that ends every description."""
    if right == OPEN:
        return "Open to all, signed in or not."
    return f"Needs the right {rights.WORDS[right]}."


def _asked(name: str, field: forms.Field) -> OpenApiParameter:
    shape = described(field)
    words = shape.pop("description")
    shape.pop("nullable", None)
    if "enum" in shape:
        shape["enum"] = [value for value in shape["enum"] if value is not None]
    return OpenApiParameter(name, shape, OpenApiParameter.QUERY, required=field.required, description=words)


@cache
def whole_schema() -> dict[str, Any]:
    """The description of the whole API: the same for everybody, so it is worked out once a process."""
    return SchemaGenerator().get_schema(request=None, public=True)
