"""What a program sends: JSON, strictly read, and handed to the same forms as the pages use.

A field of a form says what may be sent for it by its class; ``sent_as = int`` or ``list`` on a field
says it where the class does not tell. Nothing is guessed: a name that the form does not know, or a
value of another kind, is refused beside its name.
"""

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from django import forms
from django.http import QueryDict
from rest_framework import exceptions
from rest_framework.parsers import JSONParser

from studio.api_kit.problems import Invalid, TooMuch
from studio.calc.typed import typed_back
from studio.fields import ActForm, AmountField, NumberInput

MOST_BYTES = 1_000_000
MOST_DIGITS = 30
PLAIN_NUMBER = re.compile(r"-?[0-9]{1,15}(\.[0-9]{1,15})?")
HALF = re.compile(rb"\\u[dD][89a-fA-F]")

Kind = tuple[dict[str, Any], Callable[[Any], bool], str]


class Json(JSONParser):
    """JSON as the standard has it, numbers exact, and no more of it than an act needs."""

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        body = stream.read(MOST_BYTES + 1)
        if len(body) > MOST_BYTES:
            raise TooMuch(f"That is more than {MOST_BYTES} bytes.")
        try:
            sent = json.loads(body.decode(), parse_float=Decimal, parse_constant=_no_number)
        except (ValueError, RecursionError) as error:
            raise exceptions.ParseError("What was sent is not JSON.") from error
        if HALF.search(body):
            _refuse_halves(sent)
        return sent


def _no_number(name: str) -> Any:
    raise ValueError(name)


def _refuse_halves(sent: Any) -> None:
    """Half of a surrogate pair is JSON, but no text, and no database keeps it."""
    try:
        json.dumps(sent, ensure_ascii=False, default=str).encode()
    except UnicodeEncodeError as error:
        raise exceptions.ParseError("The text holds half of a character. Send whole ones.") from error


# --- what may be sent for a field


def _text(value: Any) -> bool:
    return isinstance(value, str)


def _number(value: Any) -> bool:
    return isinstance(value, str | int | Decimal) and not isinstance(value, bool)


def _whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _amount(value: Any) -> bool:
    return (
        isinstance(value, dict)
        and set(value) == {"amount", "unit"}
        and _number(value["amount"])
        and _text(value["unit"])
    )


def _texts(value: Any) -> bool:
    return isinstance(value, list) and all(map(_text, value))


def _wholes(value: Any) -> bool:
    return isinstance(value, list) and all(map(_whole, value))


def _yes_or_no(value: Any) -> bool:
    return isinstance(value, bool)


NUMBER = {"oneOf": [{"type": "number"}, {"type": "string", "maxLength": 40}]}


def kind_of(field: forms.Field) -> Kind:
    """The JSON schema of what may be sent for a field, the test for it, and the sentence when it fails."""
    told = getattr(field, "sent_as", None)
    match field:
        case AmountField():
            units = [unit for unit, _ in field.choices]
            shape = {
                "type": "object",
                "properties": {"amount": NUMBER, "unit": {"type": "string", "enum": units}},
                "required": ["amount", "unit"],
                "additionalProperties": False,
            }
            return shape, _amount, f'Send an amount with its unit: {{"amount": 1.5, "unit": "{units[0]}"}}.'
        case forms.BooleanField():
            return {"type": "boolean"}, _yes_or_no, "Send true or false."
        case forms.ModelMultipleChoiceField():
            return {"type": "array", "items": {"type": "integer"}}, _wholes, "Send a list of numbers of rows."
        case forms.ModelChoiceField():
            if field.to_field_name in (None, "pk", "id"):
                return {"type": "integer"}, _whole, "Send the number of a row."
        case forms.IntegerField():
            return _integer(field), _whole, "Send a whole number."
        case forms.ChoiceField():
            return {"type": "string", "enum": _choices(field)}, _text, "Send text."
        case forms.DateField():
            return {"type": "string", "format": "date"}, _text, "Send a day as text, like 2026-04-06."
    if told is int:
        return {"type": "integer"}, _whole, "Send the number of a row."
    if told is list:
        return {"type": "array", "items": {"type": "string"}}, _texts, "Send a list of texts."
    if isinstance(field.widget, NumberInput):
        return dict(NUMBER), _number, "Send a number, or text with one."
    length = {"maxLength": field.max_length} if getattr(field, "max_length", None) else {}
    return {"type": "string", **length}, _text, "Send text."


def _integer(field: forms.IntegerField) -> dict[str, Any]:
    bounds = {"minimum": field.min_value, "maximum": field.max_value}
    return {"type": "integer", **{name: bound for name, bound in bounds.items() if bound is not None}}


def _choices(field: forms.ChoiceField) -> list[str]:
    flat: list[str] = []
    for value, label in field.choices:
        flat += [str(inner) for inner, _ in label] if isinstance(label, list | tuple) else [str(value)]
    return [value for value in flat if value]


# --- a form, described


def request_schema(form_class: type[forms.Form]) -> dict[str, Any]:
    """What an act's body may hold, for the OpenAPI description.

    ``waives`` on a form names required fields that it does without as things stand.
    """
    waived = getattr(form_class, "waives", ())
    fields = {name: field for name, field in form_class.base_fields.items() if name != "key"}
    schema: dict[str, Any] = {
        "type": "object",
        "properties": {name: described(field, waived=name in waived) for name, field in fields.items()},
        "additionalProperties": False,
    }
    required = [name for name, field in fields.items() if field.required and name not in waived]
    if rows := getattr(form_class, "row_form", None):
        items = request_schema(rows)
        most = form_class.most_rows  # type: ignore[attr-defined]
        schema["properties"]["rows"] = {"type": "array", "items": items, "minItems": 1, "maxItems": most}
        if getattr(form_class, "rows_wanted", True):
            required.append("rows")
    if required:
        schema["required"] = required
    return schema


def described(field: forms.Field, *, waived: bool = False) -> dict[str, Any]:
    """The schema of one field with its words and its unit; null stands for nothing typed."""
    shape = dict(kind_of(field)[0])
    if waived or not field.required:
        shape["nullable"] = True
        if "enum" in shape:
            shape["enum"] = [*shape["enum"], None]
    return {**shape, "description": words_of(field)}


def words_of(field: forms.Field) -> str:
    """Label, unit and hint of a field, as a sentence or two."""
    unit = getattr(field, "unit", "")
    label = f"{field.label or ''}{f', in {unit}' if unit else ''}".strip()
    stop = "" if not label or label.endswith(("?", ".")) else "."
    return f"{label}{stop} {field.help_text}".strip()


# --- a body, read


@dataclass
class Sent:
    """A form with what was sent in it, and what of it no form could take."""

    form: ActForm
    wrong: dict[str, list[str]]

    def refuse_wrong(self) -> ActForm:
        """The form when it is good; Invalid with every sentence otherwise."""
        if not self.form.is_valid() or self.wrong:
            raise Invalid.of(self.form, self.wrong)
        return self.form


def read(form_class: type[ActForm], body: Any, key: UUID, **kwargs: Any) -> Sent:
    """A JSON body as form data, {"amount", "unit"} as the two halves of an amount field."""
    if not isinstance(body, dict):
        raise exceptions.ParseError("Send a JSON object.")
    fields = form_class(**kwargs).fields
    data = QueryDict(mutable=True)
    data["key"] = str(key)
    said: dict[str, str] = {}
    for name, value in body.items():
        if name == "rows" and hasattr(form_class, "row_form"):
            said |= _put_rows(data, form_class, value)
        else:
            said[name] = _put(data, fields.get(name) if name != "key" else None, name, value)
    return Sent(form_class(data, **kwargs), {name: [wrong] for name, wrong in said.items() if wrong})


def _put_rows(data: QueryDict, form_class: Any, rows: Any) -> dict[str, str]:
    """Rows of a table, each an object with the fields of ``row_form``; "rows.0.name" names a cell."""
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        return {"rows": "Send a list of objects."}
    if len(rows) > form_class.most_rows:
        return {"rows": f"At most {form_class.most_rows} rows."}
    data["rows"] = str(len(rows))
    fields = form_class.row_form.base_fields
    return {
        f"rows.{number}.{name}": _put(data, fields.get(name), f"row{number}-{name}", value)
        for number, row in enumerate(rows)
        for name, value in row.items()
    }


def _put(data: QueryDict, field: forms.Field | None, name: str, value: Any) -> str:
    """Put one value where the form looks for it, or say why not."""
    if field is None:
        return "There is no such field here."
    _, fits, sentence = kind_of(field)
    if value is None:
        return ""
    if not fits(value):
        return sentence
    if isinstance(field, AmountField):
        data[f"{name}_0"], data[f"{name}_1"] = _typed(value["amount"]), value["unit"]
    elif isinstance(value, bool):
        data.setlist(name, ["on"] if value else [])
    elif isinstance(value, list):
        data.setlist(name, [str(v) for v in value] if fits is _wholes else ["\n".join(value)])
    else:
        data[name] = _typed(value) if fits is _number else str(value)
    return ""


def _typed(value: str | int | Decimal) -> str:
    """A number as a person types it; a point is the decimal mark. What is no plain number stays as sent."""
    if isinstance(value, str):
        return typed_back(Decimal(value)) if PLAIN_NUMBER.fullmatch(value) else value
    number = Decimal(value)
    digits = number.as_tuple()
    beyond = len(digits.digits) > MOST_DIGITS or abs(number.adjusted()) > MOST_DIGITS
    return str(value)[:100] if beyond else typed_back(number)
