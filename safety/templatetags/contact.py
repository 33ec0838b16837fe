"""What is on record of food contact, for pages of every app: what safety knows comes by this tag alone."""

from typing import Any

from django import template

from safety.contact import said_of_versions
from studio.people import rights

register = template.Library()


@register.inclusion_tag("safety/_food.html", takes_context=True)
def food_contact(context: dict[str, Any], version: Any) -> dict[str, Any]:
    """What may be said of a recipe version and food, from the evidence: two queries without a test."""
    reader = getattr(context.get("request"), "user", None)
    said = said_of_versions([version.pk])[version.pk]
    return {
        "said": said,
        "tests": [(row.test.name, int(row.test.name[1:])) for row in said.verdicts],
        "version": version,
        "may": bool(getattr(reader, "is_authenticated", False) and reader.may(rights.BINDER)),
    }
