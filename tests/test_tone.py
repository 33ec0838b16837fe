"""Every form of every page speaks in the house's tone: none of the framework's own sentences is left."""

import copy
import importlib
from pathlib import Path

import pytest
from django import forms
from django.conf import settings

from studio.fields import ActForm
from studio.tone import speak

FRAMEWORK = (
    "This field is required.",
    "Enter a ",
    "Ensure this value",
    "Select a valid choice",
    "Null characters",
    "Enter a complete value",
)


def every_form() -> list[type[ActForm]]:
    """The act forms of all apps, found by reading every forms folder."""
    root = Path(settings.ROOT)
    for path in [*root.glob("*/forms/*.py"), *root.glob("studio/*/forms/*.py")]:
        importlib.import_module(".".join(path.relative_to(root).with_suffix("").parts))
    found, kinds = [], [ActForm]
    while kinds:
        kind = kinds.pop()
        kinds += kind.__subclasses__()
        found.append(kind)
    return [kind for kind in found if ".forms." in kind.__module__]


TYPED = ("", "x\x00", "x" * 30_000, "-" + "9" * 30, "9" * 30, "?")


def sentences(field: forms.Field) -> list[str]:
    """What a field says to nothing, to far too much and to a character no database keeps."""
    halves = isinstance(field, forms.MultiValueField)
    said = []
    # No browser sends a chosen row with a null character in it.
    whole = [text for text in TYPED if "\x00" not in text or not isinstance(field, forms.ModelChoiceField)]
    for typed in [[*pair] for text in TYPED for pair in ((text, "g"), ("1", text))] if halves else whole:
        try:
            field.clean(typed)
        except forms.ValidationError as wrong:
            said += wrong.messages
    return said


@pytest.mark.django_db
@pytest.mark.parametrize("kind", every_form(), ids=lambda kind: kind.__name__)
def test_no_field_speaks_in_the_frameworks_words(kind):
    try:
        form = kind({})
    except TypeError:  # a form about a row has the same fields without it
        form = ActForm({})
        form.fields.update(copy.deepcopy(kind.base_fields))
        speak(form.fields.values())
    for name, field in form.fields.items():
        said = sentences(field)
        assert [s for s in said if s.startswith(FRAMEWORK)] == [], name
        if field.required:
            assert said, f"{name} takes anything"


def test_a_field_that_brings_its_own_sentence_keeps_it():
    field = forms.CharField(error_messages={"required": "A recipe needs a name."}, max_length=3)
    speak([field])
    with pytest.raises(forms.ValidationError, match=r"A recipe needs a name\."):
        field.clean("")
    with pytest.raises(forms.ValidationError, match="At most 3 letters; these are 4"):
        field.clean("abcd")
