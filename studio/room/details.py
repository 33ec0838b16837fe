"""Who the studio is and under which law it works, as labels and the binder say it."""

from studio.room.models import Details


def in_force() -> Details:
    """The newest details; as Stirbook comes (no name, EU) where nobody has said any. One query."""
    return Details.objects.order_by("-id").first() or Details()


def said(details: Details) -> bool:
    """Whether somebody has said who the studio is."""
    return details.pk is not None


def gaps(details: Details) -> list[str]:
    """What labels and the sheets for first aid cannot say yet, as sentences."""
    missing = {
        "Name and address: they stand on every label.": not (details.name and details.address),
        "A phone where somebody of the studio answers: it stands on every label.": not details.phone,
        "Whom to call in an emergency: it stands on the sheets for first aid.": (not details.emergency),
    }
    return [sentence for sentence, lacks in missing.items() if lacks]
