"""Why an act at a bucket is refused, one class per reason."""

from decimal import Decimal

from django.utils import timezone

from buckets.models import Fill
from studio import words
from studio.errors import NotAllowed, Refused
from studio.room.models import Vessel


class FillEmptied(Refused):
    """The fill the form was opened for has left its bucket; the sentence names what is there now."""

    def __init__(self, fill: Fill) -> None:
        now = Fill.objects.filter(vessel=fill.vessel_id, emptied_at=None).first()
        code = fill.vessel.code
        there = f"{code} now holds {now.glaze}." if now else f"Nothing is in {code} now."
        emptied = timezone.localtime(fill.emptied_at)
        clock = words.clock(emptied, timezone.localtime())
        super().__init__(
            f"This was about {fill.glaze}, which was emptied out of {code} ({clock}). {there} "
            f"Nothing was saved; open the page of {code} again."
        )


class AlreadyFull(Refused):
    """A vessel holds one fill at a time."""

    def __init__(self, fill: Fill) -> None:
        super().__init__(
            f"{fill.vessel.code} already holds {fill.glaze}. Empty it first, on its own page.", field="vessel"
        )


class FillHeld(Refused):
    """Nothing is taken from a held bucket."""

    def __init__(self, fill: Fill) -> None:
        super().__init__(f"{fill.vessel.code} is held: {fill.held_reason}. Take another bucket.")


class MoreThanThereIs(Refused):
    """More was said to be taken than the bucket holds."""

    def __init__(self, fill: Fill) -> None:
        super().__init__(
            f"{fill.vessel.code} holds {words.litres(fill.volume_l)}, so that much cannot have come out. "
            "If the level is wrong, take a reading with the depth first.",
            field="volume_l",
        )


class OverTheBrim(Refused):
    """More than the vessel can hold; ``field`` names what was typed."""

    def __init__(self, vessel: Vessel, volume_l: Decimal, *, field: str) -> None:
        brim = words.litres(vessel.brim_l())
        super().__init__(
            f"{vessel.code} holds {brim} up to the brim; {words.litres(volume_l)} does not fit.", field=field
        )


class OverTheLimit(Refused):
    """More than the studio fills a bucket to: no room to stir, or for the piece that is dipped."""

    def __init__(self, fill: Fill, more_l: Decimal, limit_pct: Decimal, *, field: str) -> None:
        vessel, brim_l = fill.vessel, fill.vessel.brim_l()
        limit = words.litres(brim_l * float(limit_pct) / 100)
        pct = words.percent(limit_pct, 1)
        super().__init__(
            f"{vessel.code} holds {words.litres(fill.volume_l)}; {words.litres(more_l)} more make "
            f"{words.litres(fill.volume_l + more_l)}, over the {limit} it is filled to ({pct} of "
            f"{words.litres(brim_l)} to the brim). Take stirred glaze out first.",
            field=field,
        )


class DeeperThanTheBucket(Refused):
    """A depth over the rim."""

    def __init__(self, vessel: Vessel, depth_cm: Decimal) -> None:
        super().__init__(
            f"{words.number(depth_cm, 1, least=0)} cm is deeper than the bucket: {vessel.code} is "
            f"{words.number(vessel.height_cm, 1)} cm inside. Read it again.",
            field="depth_cm",
        )


class NotYoursToTakeBack(NotAllowed):
    """A technician takes back anybody's entry, everybody their own on the same day."""

    def __init__(self) -> None:
        super().__init__(
            "You can take back your own entries on the day you made them; others only a technician can."
        )


class GoneOn(Refused):
    """What was poured from bucket to bucket is not undone by writing: it is poured again."""

    def __init__(self) -> None:
        super().__init__(
            "This can't be taken back: the glaze has gone on in another bucket, or the bucket to another "
            "place. Pour or move it again, and note that."
        )


class TakenBackAlready(Refused):
    """Each entry is taken back at most once, and a taking back never."""

    def __init__(self) -> None:
        super().__init__("This was already taken back. Put in a new one if it was right after all.")
