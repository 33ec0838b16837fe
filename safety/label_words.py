"""What a label of a result says beside its statements, for the result's own page: by the functions the label
itself is worded with, so that neither says more than the other."""

from collections.abc import Iterable, Mapping
from typing import Any

from safety.labelling.hazard_part import marks_of, sheets_named, unknown_acute
from safety.labelling.wording import DUST, NOBODY_KNOWS, contained, told_of
from safety.models import Label
from studio.materials.models import Material

Plain = Mapping[str, Any]


def content_of(inputs: Plain, labels: Iterable[Label] = ()) -> dict[str, Any]:
    """What is in it by name, with the studio's own words: as a label in force has it, else as known now."""
    said: dict[str, Any] = max((label.content for label in labels), key=_named, default={})
    if _named(said):
        return said
    materials = inputs["materials"]
    own = dict(
        Material.objects.filter(pk__in=[row["id"] for row in materials]).values_list("pk", "hazard_words")
    )
    return {"contents": [{"material": row["name"], "words": own.get(row["id"], "")} for row in materials]}


def _named(content: Plain) -> int:
    return len(content.get("contents", ()))


def beside_statements(result: Plain, inputs: Plain, content: dict[str, Any]) -> dict[str, Any]:
    """``contains``: names in a sentence; ``marks``: how sure it is; ``unknown``: sentences on toxicity."""
    hazards = {
        "classified": True,
        "missing": bool(inputs["missing"]),
        "identifiers": list(result.get("identifier_names", ())),
        "marks": marks_of(result, assumed=bool(inputs["assumed"]), missing=bool(inputs["missing"])),
        "sheets": sheets_named(dict(inputs)),
    }
    names = contained(content, hazards)
    return {
        "contains": f"Contains {', '.join(names)}." if names else NOBODY_KNOWS,
        "marks": [*told_of(content, hazards), DUST],
        "unknown": unknown_acute(result.get("unknown_pct") or {}),
    }
