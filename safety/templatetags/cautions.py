"""Cautions where powder is handled, for pages of every app: what safety knows comes by this tag alone."""

from typing import Any

from django import template

from safety.cautions import Handled, cautions, statements_of
from safety.exposure import lines_for
from safety.hazards import standing
from safety.mixes import mix_of_material, mix_of_version

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


@register.inclusion_tag("safety/_exposure.html")
def exposure_to_label(hazards: Any, acts: str, signed_in: bool = True) -> dict[str, Any]:
    """Lines for acts ("spray sand") with what a label in force says of hazards, or None: nothing."""
    said = hazards or {}
    statements = [(code, words) for code, words in (*said.get("h", ()), *said.get("euh", ()))]
    known = bool(said) and not said.get("missing")
    told = {"signal_word": said.get("signal_word", ""), "statements": statements, "known": known}
    sheets = [(name, number) for name, number in said.get("sheets", ()) if number]
    return {
        "lines": [lines_for(act, **told) for act in acts.split()],
        "sheets": sheets if signed_in else [],
    }


@register.inclusion_tag("safety/_exposure.html")
def exposure_to(acts: str, material: Any = None, version: Any = None) -> dict[str, Any]:
    """Lines for acts with a material as it stands in its bag, or with a recipe version: one query."""
    mix = mix_of_material(material) if material is not None else mix_of_version(version)
    kept = standing(mix)
    told = {
        "signal_word": (kept.result["label"].get("signal_word") or "") if kept else "",
        "statements": statements_of(kept) if kept else [],
        "known": kept is not None and not kept.missing,
    }
    return {"lines": [lines_for(act, **told) for act in acts.split()], "material": material, "kept": kept}
