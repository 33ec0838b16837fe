"""Labels in force that say less, or other, than is known now: by their sheets, and by what went in since."""

from collections.abc import Iterable
from typing import Any

from buckets.mix import changed_since_printed
from safety.contact import says_too_much
from safety.hazards import every_label_in_force, labels_out_of_date
from safety.models import Label

WENT_IN = "Something went into the bucket since it was printed."


def outdated() -> list[Label]:
    """Every such label once, with its ``reasons``; the gravest first."""
    in_force = every_label_in_force()
    found = {label.pk: label for label in labels_out_of_date(in_force)}
    more = [*whose_bucket_changed(in_force), *says_too_much(in_force)]
    return list((found | {label.pk: label for label in more}).values())


def whose_bucket_changed(in_force: Iterable[Any]) -> list[Any]:
    """Of labels that have their ``reasons`` those whose bucket holds another mixture now; it is one more."""
    changed: list[Any] = changed_since_printed(in_force)
    for label in changed:
        label.reasons = [*label.reasons, WENT_IN]
    return changed
