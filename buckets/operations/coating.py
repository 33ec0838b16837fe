"""A tile dipped and weighed, kept or taken back."""

from datetime import datetime
from decimal import Decimal
from typing import NamedTuple
from uuid import UUID

from django.utils import timezone

from buckets.advice import newest_reading
from buckets.calc.coats import coat_from_two_tiles
from buckets.models import Care, Fill, Tile
from buckets.operations.standing import STANDS, moment, opened, refuse_taking_back, restate
from studio import words
from studio.calc.slurry import slurry
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded
from studio.room.models import Body

# g/cm2, about 0.04 to 4 mm raw: beyond it an area or a weight was mistyped; common practice, no source
THINNEST, THICKEST = Decimal("0.005"), Decimal("0.5")
LONGEST_S = Decimal(600)


class Weighed(NamedTuple):
    """One tile as it was weighed: gain at once, or dry gain, or its coat typed; in g and g/cm2."""

    name: str  # ending of its fields
    gain_g: Decimal | None
    dry_g: Decimal | None
    coat: Decimal | None


@act("tile recorded", about="fill")
def record_tile(
    *,
    fill: Fill,
    seconds: Decimal,
    sg: Decimal | None = None,
    area_cm2: Decimal | None = None,
    gain_g: Decimal | None = None,
    dry_g: Decimal | None = None,
    coat_g_per_cm2: Decimal | None = None,
    seconds_2: Decimal | None = None,
    gain_2_g: Decimal | None = None,
    dry_2_g: Decimal | None = None,
    coat_2_g_per_cm2: Decimal | None = None,
    target_g_per_cm2: Decimal | None = None,
    body: Body | None = None,
    note: str = "",
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Tile:
    """A tile dipped for ``seconds`` into stirred glaze at ``sg`` (left out: the newest reading's).

    Its coat (g/cm2) is one of: ``gain_g`` weighed at once, times the dry share of the slurry, over
    ``area_cm2``; ``dry_g`` weighed dry, over the area; ``coat_g_per_cm2`` as typed. A second tile of the
    same stir and size (``…_2``), dipped for other seconds, tells the film that clings. ``target_g_per_cm2``
    is the coat this glaze wants; left out: what the tile got. Refused without an SG, with none or several
    ways told, and for a coat, seconds or film that cannot be.
    """
    fill = opened(fill)
    refuse_unless(by, rights.WET)
    when = moment(fill, at)
    sg = sg if sg is not None else _read_sg(fill)
    _refuse_sg(sg, fill)
    _refuse_seconds(seconds, "seconds")
    dry_share = _dry_share(sg, fill)
    dry, coat = _coat(Weighed("", gain_g, dry_g, coat_g_per_cm2), area_cm2, dry_share)
    second = Weighed("_2", gain_2_g, dry_2_g, coat_2_g_per_cm2)
    coat_2 = None
    if seconds_2 is not None or any(value is not None for value in second[1:]):
        _refuse_seconds(seconds_2, "seconds_2")
        coat_2 = _coat(second, area_cm2, dry_share)[1]
        _refuse_pair(seconds, coat, seconds_2, coat_2)
    if target_g_per_cm2 is not None:
        _refuse_coat(target_g_per_cm2, "target_g_per_cm2")
    tile = Tile.objects.create(
        fill=fill,
        body=body,
        sg=sg,
        seconds=seconds,
        area_cm2=area_cm2,
        dry_g=dry,
        coat_g_per_cm2=coat,
        seconds_2=seconds_2,
        coat_2_g_per_cm2=coat_2,
        target_g_per_cm2=target_g_per_cm2,
        note=note.strip(),
        raw=raw,
        by=by,
        at=when,
    )
    restate(fill)
    return tile


@act("tile taken back", about="tile")
def take_back_tile(
    *,
    tile: Tile,
    reason: str,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Tile:
    """The tile was wrong: a second row takes it back, and the tile before it counts again."""
    fill = opened(tile.fill)
    refuse_taking_back(tile, by)
    if not reason.strip():
        raise Refused("Say what was wrong with it.", field="reason")
    row = Tile.objects.create(
        fill=fill,
        body=tile.body,
        sg=tile.sg,
        seconds=tile.seconds,
        area_cm2=tile.area_cm2,
        dry_g=tile.dry_g,
        coat_g_per_cm2=tile.coat_g_per_cm2,
        seconds_2=tile.seconds_2,
        coat_2_g_per_cm2=tile.coat_2_g_per_cm2,
        target_g_per_cm2=tile.target_g_per_cm2,
        note=reason.strip(),
        reverses=tile,
        raw=raw,
        by=by,
        at=at or timezone.now(),
    )
    restate(fill)
    return row


# --- inside -------------------------------------------------------------------------------------------


def _read_sg(fill: Fill) -> Decimal:
    """The SG of the newest reading, unless something was put in or taken off since."""
    reading = newest_reading(fill)
    if reading is None or reading.sg is None:
        raise Refused("At which specific gravity was it dipped? No reading stands.", field="sg")
    changed = fill.care.filter(STANDS, kind__in=Care.CHANGES, at__gte=reading.at)
    if changed.exists():
        raise Refused(
            f"The glaze was changed after the reading of {words.sg(reading.sg)}. Measure it, and type what "
            "it had when the tile was dipped.",
            field="sg",
        )
    return reading.sg


def _refuse_sg(sg: Decimal, fill: Fill) -> None:
    most = fill.particle_density or Decimal("2.2")
    if not 1 < sg < most:
        raise Refused(
            f"A glaze has a specific gravity between 1.00 and {words.number(most, 2)}. "
            "What did the reading say?",
            field="sg",
        )


def _refuse_seconds(seconds: Decimal | None, field: str) -> None:
    if seconds is None:
        raise Refused("How many seconds was the second tile dipped?", field=field)
    if not 0 < seconds <= LONGEST_S:
        raise Refused("A dip lasts more than 0 and at most 600 s.", field=field)


def _dry_share(sg: Decimal, fill: Fill) -> float | None:
    """Dry glaze in a gram of slurry; None while the powder's density is not known."""
    if fill.particle_density is None:
        return None
    return slurry(sg=float(sg), rho_s=float(fill.particle_density)).w


def _coat(tile: Weighed, area_cm2: Decimal | None, dry_share: float | None) -> tuple[Decimal | None, Decimal]:
    """Dry grams, where something was weighed, and the coat in g/cm2."""
    told = [value for value in tile[1:] if value is not None]
    gain, dry, typed = (f"{name}{tile.name}{unit}" for name, unit in UNITS)
    if len(told) != 1:
        asked = "Weigh it at once, or dry, or type its coat" if not told else "Which of these counts?"
        raise Refused(f"{asked}: one of the three.", field=gain)
    if tile.coat is not None:
        _refuse_coat(tile.coat, typed)
        return None, tile.coat
    if area_cm2 is None or area_cm2 <= 0:
        raise Refused("How large is the glazed surface?", field="area_cm2")
    if tile.gain_g is not None:
        if dry_share is None:
            raise Refused(
                "The powder's density of this glaze is not known, so wet glaze cannot be turned into dry. "
                "Dry the tile and weigh it then.",
                field=gain,
            )
        grams = rounded(float(tile.gain_g) * dry_share, 3)
    else:
        assert tile.dry_g is not None  # noqa: S101 - one of the three was told
        grams = tile.dry_g
    coat = rounded(grams / area_cm2, 4)
    _refuse_coat(coat, gain if tile.gain_g is not None else dry)
    return grams, coat


UNITS = (("gain", "_g"), ("dry", "_g"), ("coat", "_g_per_cm2"))


def _refuse_coat(coat: Decimal, field: str) -> None:
    if not THINNEST <= coat <= THICKEST:
        raise Refused(
            f"That is a coat of {words.number(coat, 4)} g/cm², and a dipped one lies between "
            f"{words.number(THINNEST, 4)} and {words.number(THICKEST, 4)}. Are area and weights right?",
            field=field,
        )


def _refuse_pair(seconds: Decimal, coat: Decimal, seconds_2: Decimal | None, coat_2: Decimal) -> None:
    """Two tiles that tell no film: alike, the longer one thinner, or a film of less than nothing."""
    if seconds_2 == seconds:
        raise Refused("Dip the second tile for other seconds: twice as long tells most.", field="seconds_2")
    try:
        coat_from_two_tiles(t1_s=float(seconds), m1=float(coat), t2_s=float(seconds_2 or 0), m2=float(coat_2))
    except ValueError as error:
        raise Refused(
            "These two tiles do not go together: the longer dip must be the thicker one, and not by more "
            "than its seconds explain. Weigh again, or keep one of them alone.",
            field="seconds_2",
        ) from error
