"""What the label of a bucket says: a copy of the fill's own facts, kept with the printed label."""

from datetime import date
from typing import Any

from django.utils import timezone

from buckets.models import Fill, Parent
from safety.calc.contact import NO_LEACH_TEST, gravity
from safety.models import Label
from safety.operations.labels import labels_in_force

NO_LONGER = "No leach test in force for what is in it now, whatever its label says."
UNCLASSIFIED = "from the material list, not yet classified"


def bucket_label_content(fill: Fill) -> dict[str, Any]:
    """Everything printed on the label of a fill, as plain values; its state as it stands now."""
    parents = list(fill.parents.select_related("batch", "version").order_by("pk"))
    version = fill.version or next((parent.version for parent in parents if parent.version), None)
    return {
        "glaze": fill.glaze,
        "look": fill.look,
        "version": version.number if version else None,
        "cone": fill.cone,
        "atmosphere": fill.atmosphere,
        "batch": _batches(parents),
        "date": timezone.localdate(fill.poured_at).isoformat(),
        "fill": fill.number,
        "vessel": fill.vessel.code,
        "capacity_l": f"{fill.vessel.brim_l():.1f}",
        "state": _state(fill),
        "history_unknown": fill.history_unknown,
        "reclaim": fill.reclaim,
        **_window(fill),
        "contents": fill.contents,
        "cautions": cautions_of(fill),
        "cautions_source": UNCLASSIFIED,
    }


def _state(fill: Fill) -> str:
    if fill.held:
        return "held"
    return f"{fill.state}, tile due" if fill.tile_due else fill.state


def _batches(parents: list[Parent]) -> str:
    """The batches in it, newest first: "26-014"; empty when it was found."""
    numbers = [parent.batch.number for parent in parents if parent.batch]
    return ", ".join(reversed(numbers))


def _window(fill: Fill) -> dict[str, str | None]:
    """Target and window as text with three places, so that the label says what the page says."""
    if fill.target_sg is None or fill.half_window is None:
        return {"target_sg": None, "sg_low": None, "sg_high": None}
    low, high = fill.target_sg - fill.half_window, fill.target_sg + fill.half_window
    return {"target_sg": f"{fill.target_sg:.3f}", "sg_low": f"{low:.3f}", "sg_high": f"{high:.3f}"}


def cautions_of(fill: Fill) -> list[dict[str, str]]:
    """Materials of a fill that have hazard words on record, with those words."""
    return [entry for entry in fill.contents if entry.get("words")]


def label_in_force(fill: Fill) -> Label | None:
    """The bucket label in force on this fill, or None."""
    return labels_in_force(Fill._meta.label_lower, [fill.pk]).get(fill.pk)


def hazards_of(fill: Any) -> dict[str, Any] | None:
    """The classified hazards that the label in force says, for a fill read by ``fill_in``; None: none."""
    said = (fill.label_says or {}).get("hazards") or {}
    if not said.get("classified"):
        return None
    return said | {"page": int(said["number"].lstrip("K"))}


def food_of(fill: Any, today: date) -> str:
    """What may be said of food beside a bucket, for a fill read by ``fill_in``: its label's own sentence, and
    no milder one than stands today for what is in it."""
    said = (fill.label_says or {}).get("hazards") or {}
    sentence = said.get("food") or NO_LEACH_TEST
    if gravity(sentence) > 0:
        return sentence
    until = said.get("food_until") or ""
    ended = fill.tinted or fill.history_unknown or fill.reclaim or fill.changed_since_label
    return NO_LONGER if ended or until < today.isoformat() else sentence
