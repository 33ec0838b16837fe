"""Inputs of forms written at once: a template for each is most of what a page with a form costs."""

from typing import Any

from django.forms.renderers import DjangoTemplates
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString

FOLDER = "django/forms/widgets/"
PLAIN = {f"{FOLDER}{kind}.html" for kind in ("text", "hidden", "number", "date", "email", "password")}


class Inputs(DjangoTemplates):
    """The framework's renderer, but for plain inputs and lists, which read as its templates write them."""

    def render(self, template_name: str, context: dict[str, Any], request: Any = None) -> str:
        if template_name in PLAIN:
            return _input(context["widget"])
        if template_name == f"{FOLDER}select.html":
            return _select(context["widget"])
        return super().render(template_name, context, request)


def attributes(said: dict[str, Any]) -> str:
    """Attributes of an element, each with a space before it; True stands by its name, False is left out."""
    return "".join(
        f" {name}" if value is True else f' {name}="{conditional_escape(str(value))}"'
        for name, value in said.items()
        if value is not False
    )


def _input(widget: dict[str, Any]) -> SafeString:
    said = {"type": widget["type"], "name": widget["name"]}
    if widget["value"] is not None:
        said["value"] = widget["value"]
    return SafeString(f"<input{attributes(said | widget['attrs'])}>")


def _select(widget: dict[str, Any]) -> SafeString:
    groups = "".join(_group(name, options) for name, options, _ in widget["optgroups"])
    return SafeString(f"<select{attributes({'name': widget['name']} | widget['attrs'])}>{groups}</select>")


def _group(name: str | None, options: list[dict[str, Any]]) -> str:
    written = "".join(
        f"<option{attributes({'value': option['value']} | option['attrs'])}>"
        f"{conditional_escape(option['label'])}</option>"
        for option in options
    )
    return f"<optgroup{attributes({'label': name})}>{written}</optgroup>" if name else written
