"""The sentences beside a field, in the house's tone, wherever a field brings none of its own."""

from collections.abc import Iterable, Iterator
from functools import cache

from django import forms

TYPED = "Nothing is typed here yet."
CHOSEN = "Choose one of these."
TICKED = "Tick this to go on."
UNREADABLE = "This holds a character that cannot be kept. Type it again."
SAYS = {
    "incomplete": "Choose the unit, too.",
    "invalid_choice": "Choose one from the list.",
    "invalid_pk_value": "Choose one from the list.",
    "invalid_list": "Choose from the list.",
    "max_length": "At most %(limit_value)d letters; these are %(show_value)d.",
    "min_value": "At least %(limit_value)s.",
    "max_value": "At most %(limit_value)s.",
    "null_characters_not_allowed": UNREADABLE,
}
WHOLE = "A whole number, like 80."
DAY = "A day is written like 2026-04-20."


def speak(fields: Iterable[forms.Field]) -> None:
    """Give fields the house's sentences, where they bring none of their own."""
    for field in fields:
        for code, sentence in (SAYS | _of_its_kind(field)).items():
            if field.error_messages.get(code) in (None, *_framework_says(code)):
                field.error_messages[code] = sentence
        speak(getattr(field, "fields", ()))


def _of_its_kind(field: forms.Field) -> dict[str, str]:
    if isinstance(field, forms.BooleanField):
        return {"required": TICKED}
    if isinstance(field, forms.ChoiceField):  # a row of a table is chosen, too
        return {"required": CHOSEN}
    if isinstance(field, forms.IntegerField):
        return {"required": TYPED, "invalid": WHOLE}
    if isinstance(field, forms.DateField):
        return {"required": TYPED, "invalid": DAY}
    return {"required": TYPED}


@cache
def _framework_says(code: str) -> tuple[str, ...]:
    """What the framework's own fields say for a code."""
    said = (kind.default_error_messages.get(code) for kind in _framework_fields(forms.Field))
    return tuple(sentence for sentence in said if sentence)


def _framework_fields(kind: type[forms.Field]) -> Iterator[type[forms.Field]]:
    yield kind
    for child in kind.__subclasses__():
        if child.__module__.startswith("django.forms"):
            yield from _framework_fields(child)
