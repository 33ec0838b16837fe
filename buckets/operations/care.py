"""Care of a fill, and what is used from it: stirred, water in or off, sieved, thawed, used; or taken back."""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from buckets.calc.changes import of_water
from buckets.errors import FillHeld, GoneOn, MoreThanThereIs
from buckets.lasting import lasts
from buckets.models import Care, Fill, Use
from buckets.operations.changing import (
    BEING_MADE,
    done,
    refuse_being_made,
    refuse_more_than_there_is,
    refuse_no_room,
)
from buckets.operations.standing import moment, opened, refuse_taking_back, restate
from buckets.operations.undoing import undo
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded

__all__ = [
    "BEING_MADE",
    "DECANTED",
    "LOOSENED",
    "STANDING_OPEN",
    "log_use",
    "loosen",
    "sieve_fill",
    "stir",
    "take_back_care",
    "take_back_use",
    "thaw_fill",
    "water_in",
    "water_off",
]

LOOSENED = "loosened by hand"  # a stir that began with a bed as hard as a brick
DECANTED, STANDING_OPEN = "decanted", "standing open"
WAYS_OFF = (DECANTED, STANDING_OPEN)
RINSE = "rinse water of the sieve"
FINEST_MESH = 635  # the last sieve of the series (ASTM E11, table opened)


@act("stirred", about="fill")
def stir(*, fill: Fill, by: Member, key: UUID | None = None, at: datetime | None = None) -> Care:
    """Somebody stirred it to the floor."""
    fill = opened(fill)
    refuse_unless(by, rights.STIR)
    return done(fill, Care.Kind.STIRRED, by=by, at=at)


@act("loosened by hand", about="fill")
def loosen(
    *,
    fill: Fill,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Care:
    """A bed settled hard was loosened with a hand tool down to the floor, without water, and stirred in."""
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    return done(fill, Care.Kind.STIRRED, how=LOOSENED, note=note, raw=raw, by=by, at=at)


@act("water in", about="fill")
def water_in(
    *,
    fill: Fill,
    volume_l: Decimal,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Care:
    """Water into the bucket (rinse water too), litres above 0. The SG before it no longer counts.

    Refused over the brim or the studio's fill limit, and while a batch is being made in this bucket.
    """
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    if volume_l <= 0:
        raise Refused("How much water went in? It must be more than 0 L.", field="volume_l")
    refuse_being_made(fill, "water goes in")
    refuse_no_room(fill, volume_l, field="volume_l", at=at)
    change = of_water(litres=float(volume_l))
    kind = Care.Kind.WATER_IN
    return done(fill, kind, change=change, volume_l=volume_l, note=note, raw=raw, by=by, at=at)


@act("water off", about="fill")
def water_off(
    *,
    fill: Fill,
    how: str,
    volume_l: Decimal | None = None,
    depth_cm: Decimal | None = None,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Care:
    """Clear water gone from the bucket: ``decanted`` after settling, or lost ``standing open``.

    ``volume_l`` litres above 0, or ``depth_cm`` where the glaze stands now. Decanting is refused for a
    recipe with soluble materials: what is dissolved would go with the water.
    """
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    if how not in WAYS_OFF:
        raise Refused("Was it decanted, or did it dry standing open?", field="how")
    refuse_being_made(fill, "water is noted")
    if how == DECANTED and fill.soluble:
        raise Refused(
            f"Something in {fill.glaze} dissolves and would go with the water: it can't be decanted. If "
            "water is off already, keep the liquor, labelled, and thin it with that again.",
            field="how",
        )
    litres = _litres_off(fill, volume_l, depth_cm)
    return done(
        fill,
        Care.Kind.WATER_OFF,
        change=of_water(litres=-float(litres)),
        volume_l=litres,
        how=how,
        note=note,
        raw=raw,
        by=by,
        at=at,
    )


def _litres_off(fill: Fill, volume_l: Decimal | None, depth_cm: Decimal | None) -> Decimal:
    if volume_l is not None and depth_cm is not None:
        raise Refused("Give the litres or the depth, not both: which one counts?", field="volume_l")
    if depth_cm is not None:
        if not 0 <= depth_cm <= fill.vessel.height_cm:
            raise Refused("That is deeper than the bucket. Read it again.", field="depth_cm")
        volume_l = fill.volume_l - rounded(fill.vessel.volume_at_l(float(depth_cm)), 3)
        if volume_l <= 0:
            raise Refused(
                "At that depth there is as much in it as the bucket is kept at, or more: nothing is gone. "
                "If the level is wrong, take a reading with the depth instead.",
                field="depth_cm",
            )
        return volume_l
    if volume_l is None or volume_l <= 0:
        raise Refused("How much water is gone? Give litres above 0, or the depth now.", field="volume_l")
    refuse_more_than_there_is(fill, volume_l)
    return volume_l


@act("sieved", about="fill")
def sieve_fill(
    *,
    fill: Fill,
    mesh: int | None = None,
    residue_g: Decimal | None = None,
    rinse_l: Decimal | None = None,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Care:
    """The whole bucket went through a sieve: which ``mesh``, grams that stayed on it, rinse water.

    Rinse water that went into the bucket counts as water in: the same act writes that row, too.
    """
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    if mesh is not None and not 1 <= mesh <= FINEST_MESH:
        raise Refused(f"A mesh is a number from 1 to {FINEST_MESH}, like 80.", field="mesh")
    if residue_g is not None and residue_g < 0:
        raise Refused("What stayed on the sieve can't weigh less than 0 g.", field="residue_g")
    if rinse_l is not None and rinse_l < 0:
        raise Refused("Rinse water can't be less than 0 L.", field="rinse_l")
    if rinse_l:
        refuse_being_made(fill, "water goes in")
        refuse_no_room(fill, rinse_l, field="rinse_l")
    how = f"{mesh} mesh" if mesh else ""
    row = done(fill, Care.Kind.SIEVED, how=how, mass_g=residue_g, note=note, raw=raw, by=by, at=at)
    if rinse_l:
        _rinse(row, fill, rinse_l)
    return row


def _rinse(sieved: Care, fill: Fill, litres: Decimal) -> None:
    """Rinse water is water in, at the moment of its sieve."""
    done(
        fill,
        Care.Kind.WATER_IN,
        change=of_water(litres=float(litres)),
        volume_l=litres,
        note=RINSE,
        raw=sieved.raw,
        part_of=sieved,
        by=sieved.by,
        at=sieved.at,
    )


@act("thawed", about="fill")
def thaw_fill(
    *,
    fill: Fill,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Care:
    """It had frozen and has thawed: its structure is gone, so no reading from before counts."""
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    return done(fill, Care.Kind.THAWED, note=note, raw=raw, by=by, at=at)


@act("used", about="fill")
def log_use(
    *,
    fill: Fill,
    volume_l: Decimal,
    pieces: int | None = None,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Use:
    """Glaze taken out of the bucket, litres above 0, and for how many pieces if that was said.

    Refused from a held bucket and when it is more than there is.
    """
    fill = opened(fill)
    refuse_unless(by, rights.USE)
    if fill.held:
        raise FillHeld(fill)
    if volume_l <= 0:
        raise Refused("How much did you use? It must be more than 0 L.", field="volume_l")
    if volume_l > fill.volume_l:
        raise MoreThanThereIs(fill)
    use = Use.objects.create(fill=fill, volume_l=volume_l, pieces=pieces, raw=raw, by=by, at=moment(fill, at))
    restate(fill)
    return use


@act("care taken back", about="care")
def take_back_care(
    *, care: Care, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Care:
    """The entry was wrong: a second row takes it back, and the fill is as if it had not been made.

    What the same act wrote with it (the rinse water of a sieve, the powder of a lot) goes back with it.
    """
    fill = opened(care.fill)
    refuse_taking_back(care, by)
    if lasts(care.kind, care.how):
        raise GoneOn()
    if not reason.strip():
        raise Refused("Say what was wrong with it.", field="reason")
    row = undo(fill, care, reason=reason.strip(), by=by, at=at or timezone.now())
    restate(fill)
    return row


@act("use taken back", about="use")
def take_back_use(
    *, use: Use, reason: str, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Use:
    """The entry was wrong: a second row takes it back, and the litres are there again."""
    fill = opened(use.fill)
    refuse_taking_back(use, by)
    if not reason.strip():
        raise Refused("Say what was wrong with it.", field="reason")
    row = Use.objects.create(
        fill=fill,
        volume_l=use.volume_l,
        pieces=use.pieces,
        raw=reason.strip(),
        reverses=use,
        by=by,
        at=at or timezone.now(),
    )
    restate(fill)
    return row
