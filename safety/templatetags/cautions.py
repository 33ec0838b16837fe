"""Cautions where powder is handled, for pages of every app: what safety knows comes by this tag alone."""

from typing import Any

from django import template

from safety.cautions import Handled, cautions

register = template.Library()


@register.inclusion_tag("safety/_cautions.html")
def cautions_of(things: Any) -> dict[str, Any]:
    """Cautions of a material, of lines that name one, or of a list of either; a line at its gate has it."""
    many = things if isinstance(things, list | tuple) else [things]
    ready = [thing.gate.caution for thing in many if hasattr(thing, "gate")]
    found = ready or cautions(_handled(thing) for thing in many)
    return {
        "said": [row for row in found if row.known and row.said],
        "quiet": [row for row in found if row.known and not row.said],
        "unknown": [row for row in found if not row.known],
    }


def _handled(thing: Any) -> Handled:
    if hasattr(thing, "material_id") and hasattr(thing, "hazard_words"):  # a line that keeps a copy
        return Handled(thing.material_id, thing.name, thing.hazard_words)
    material = thing["material"] if isinstance(thing, dict) else getattr(thing, "material", thing)
    return Handled(material.pk, material.name, material.hazard_words)
