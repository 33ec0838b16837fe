"""Labels in force that say less, or other, than is known now: by their sheets, and by what went in since."""

from buckets.mix import changed_since_printed
from safety.hazards import labels_out_of_date
from safety.models import Label


def outdated() -> list[Label]:
    """Every such label once, with its ``reasons``; the gravest first."""
    found = {label.pk: label for label in labels_out_of_date()}
    for label in changed_since_printed():
        if label.pk in found:
            found[label.pk].reasons += label.reasons  # type: ignore[attr-defined]
        else:
            found[label.pk] = label
    return list(found.values())
