"""The description of the API as a page to read: the OpenAPI document, in sections by noun."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from studio.api_kit.schema import SAYS, whole_schema

Said = dict[str, Any]
FORMATS = {
    "date": "day, like 2026-04-06",
    "date-time": "moment, like 2026-04-06T14:20:00Z",
    "decimal": "exact number as text",
    "uri": "address",
    "uuid": "UUID",
}
KINDS = {"string": "text", "boolean": "true or false", "integer": "whole number", "number": "number"}


@dataclass(frozen=True, kw_only=True)
class Named:
    """A field, a parameter or an answer: its name, its kind in words, what is said of it."""

    name: str
    kind: str
    says: str = ""
    needed: bool = False
    shape: str = ""


@dataclass(frozen=True, kw_only=True)
class Operation:
    """One address with one method."""

    name: str
    method: str
    address: str
    summary: str
    says: list[str]
    in_address: list[Named]
    asked: list[Named]
    fields: list[Named]
    answers: list[Named]
    refusals: list[str]
    needs_key: bool


@dataclass(frozen=True, kw_only=True)
class Section:
    """The operations on one noun."""

    name: str
    operations: list[Operation]


@dataclass(frozen=True, kw_only=True)
class Shape:
    """One kind of answer."""

    name: str
    says: str
    fields: list[Named]


@cache
def sections() -> list[Section]:
    """Every operation, by the first word of its address."""
    by_noun: dict[str, list[Operation]] = {}
    for address, methods in whole_schema()["paths"].items():
        for method, said in methods.items():
            by_noun.setdefault(said["tags"][0], []).append(_operation(address, method, said))
    return [Section(name=name, operations=found) for name, found in sorted(by_noun.items())]


@cache
def refusals() -> dict[str, str]:
    """What each status of a refusal means."""
    return {str(code): words for code, words in SAYS.items() if code >= 400}


@cache
def shapes() -> list[Shape]:
    """Every kind of answer with its fields, for the second half of the page."""
    return [
        Shape(name=name, says=said.get("description", ""), fields=list(_fields(said)))
        for name, said in sorted(whole_schema()["components"]["schemas"].items())
        if not name.startswith("Paginated")
    ]


def _operation(address: str, method: str, said: Said) -> Operation:
    parameters = said.get("parameters", [])
    body = said.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema", {})
    return Operation(
        name=said["operationId"],
        method=method.upper(),
        address=address,
        summary=said["summary"],
        says=said["description"].split("\n\n")[1:],
        in_address=[_parameter(p) for p in parameters if p["in"] == "path"],
        asked=[_parameter(p) for p in parameters if p["in"] == "query"],
        fields=list(_fields(body)),
        answers=[_answer(code, found) for code, found in said["responses"].items() if code < "400"],
        refusals=[code for code in said["responses"] if code >= "400"],
        needs_key=any(p["in"] == "header" for p in parameters),
    )


def _parameter(said: Said) -> Named:
    return Named(
        name=said["name"],
        kind=_kind(said["schema"]),
        says=said.get("description", ""),
        needed=said.get("required", False) and said["in"] != "path",
    )


def _fields(shape: Said) -> Iterator[Named]:
    for name, field in shape.get("properties", {}).items():
        yield Named(
            name=name,
            kind=_kind(field),
            says=field.get("description", ""),
            needed=name in shape.get("required", []),
            shape=_shape_named(field),
        )


def _answer(code: str, said: Said) -> Named:
    shape = said.get("content", {}).get("application/json", {}).get("schema", {})
    kind = "a page of" if "Paginated" in str(shape) else ""
    return Named(name=code, kind=kind, says=said["description"], shape=_shape_named(shape))


def _shape_named(field: Said) -> str:
    """The name of the shape that a field or a list is made of, or nothing."""
    of = field.get("items", field)
    ref = of.get("$ref") or next((part["$ref"] for part in of.get("allOf", []) if "$ref" in part), "")
    return ref.rpartition("/")[2].removeprefix("Paginated").removesuffix("List")


def _kind(field: Said) -> str:
    nothing = ", or null" if field.get("nullable") else ""
    if "oneOf" in field:
        return f"number, or text with one{nothing}"
    if "properties" in field:
        inner = "; ".join(f"{name}: {_kind(part)}" for name, part in field["properties"].items())
        return f"object with {inner}{nothing}"
    if "items" in field:
        return "list of" if _shape_named(field) else f"list of {_kind(field['items'])}"
    if _shape_named(field):
        return nothing.removeprefix(", ")
    if "enum" in field:
        return "one of: " + ", ".join(str(value) for value in field["enum"] if value is not None) + nothing
    words = FORMATS.get(field.get("format", "")) or KINDS.get(field.get("type", ""), "anything")
    return f"{words}{_bounds(field)}{nothing}"


def _bounds(field: Said) -> str:
    if "maxLength" in field:
        return f", at most {field['maxLength']} letters"
    bounds = [f"from {field['minimum']}"] if "minimum" in field else []
    bounds += [f"up to {field['maximum']}"] if "maximum" in field else []
    return f", {' '.join(bounds)}" if bounds else ""
