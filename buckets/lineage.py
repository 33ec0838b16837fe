"""What a fill is made of, and what will be so when fills are put together or parted: worked out, not done.

Pages show it before the act, the act does what it says. Amounts: ``studio.calc.slurry`` and
``buckets.calc.lineage``, derived from "masses add, volumes add"; recipes blend by dry mass.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from batches.models import Batch
from buckets import contents
from buckets.calc.lineage import dry_shares, version_shares
from buckets.errors import AlreadyFull, MoreThanThereIs, OverTheBrim
from buckets.models import Care, Fill, Reading
from buckets.operations.care import BEING_MADE
from buckets.operations.holding import refuse_held, refuse_reports
from buckets.operations.standing import STANDS
from studio import words
from studio.calc import slurry
from studio.errors import Refused
from studio.quantities import rounded
from studio.room import policy
from studio.room.models import Vessel

ASSUMED_DENSITY = Decimal("2.6")  # g/mL of a glaze's powder when it is not known; common practice, no source
HEAVY_G = 15_000  # lifted and poured by two; common practice, no source

Part = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Blend:
    """What becomes of two fills put together. Litres, grams, shares 0 to 1; ``sg`` predicted by volume."""

    same_glaze: bool
    glaze: str
    leader: Fill
    volume_l: Decimal
    sg: Decimal
    dry_g: dict[str, Decimal]
    shares: dict[str, Decimal]
    made_of: list[Part]
    contents: contents.Entries
    state: str
    particle_density: Decimal | None
    density_assumed: bool
    spare_left_l: Decimal
    moved_g: Decimal
    spare_reading: Reading
    reading: Reading

    @property
    def all_dry_g(self) -> Decimal:
        """Grams of dry glaze in it."""
        return sum(self.dry_g.values(), Decimal(0))

    @property
    def slurry_g(self) -> Decimal:
        """Grams of glaze, water and all."""
        return rounded(self.volume_l * self.sg * 1000, 3)

    @property
    def heavy(self) -> bool:
        """Whether it is for two to lift."""
        return self.slurry_g > HEAVY_G

    @property
    def spare_ends(self) -> bool:
        """Whether nothing stays in the spare bucket."""
        return not self.spare_left_l


@dataclass(frozen=True, kw_only=True)
class Parting:
    """What becomes of a fill that is parted: ``volume_l`` go, ``left_l`` stay. Grams None: not measured."""

    volume_l: Decimal
    left_l: Decimal
    moved_g: Decimal | None
    dry_g: Decimal | None
    readings: tuple[Reading, ...]
    made_of: list[Part]

    @property
    def moves_all(self) -> bool:
        """Whether nothing stays behind, so that the first fill ends."""
        return not self.left_l

    @property
    def heavy(self) -> bool:
        """Whether what is poured over is for two to lift."""
        return self.moved_g is not None and self.moved_g > HEAVY_G


# --- what a fill is made of


def part(version: Any, share: Decimal = Decimal(1), *, glaze: str = "") -> Part:
    """One line of ``made_of``: a recipe version, or what was found under a name."""
    name = f"{version.recipe.name}, version {version.number}" if version else f"{glaze}, no recipe on record"
    return {"version": version.pk if version else None, "name": name, "share": f"{share:.6f}"}


def made_of(fill: Fill) -> list[Part]:
    """Recipe versions in a fill with their shares of its dry mass, as it was poured."""
    return fill.made_of or [part(fill.version, glaze=fill.glaze)]


def merged(parts: Iterable[tuple[Decimal, list[Part]]]) -> list[Part]:
    """``made_of`` of several things together, each with its grams of dry glaze; the largest share first."""
    whole = list(parts)
    if not any(grams for grams, _ in whole):
        whole = [(Decimal(1), lines) for _, lines in whole]
    known = {_key(line): line for _, lines in whole for line in lines}
    shares = version_shares(
        parents={
            str(number): (grams, {_key(line): Decimal(line["share"]) for line in lines})
            for number, (grams, lines) in enumerate(whole)
        }
    )
    ordered = sorted(shares.items(), key=lambda found: (-found[1], found[0]))
    return [{**known[key], "share": f"{share:.6f}"} for key, share in ordered]


def _key(line: Part) -> str:
    return f"{line['version'] or ''} {line['name']}"


# --- what is known of it now


def counting(fill: Fill, at: datetime) -> list[Reading]:
    """Readings that still say what is in it: neither too old for their kind nor followed by a change."""
    rules = policy.in_force()
    changed = fill.care.filter(STANDS, kind__in=Care.CHANGES, at__lte=at).order_by("-at").first()
    valid = {True: rules.reading_valid_days, False: rules.member_reading_valid_days}
    found = [reading for reading in (fill.check_reading, fill.member_reading) if reading]
    return sorted(
        (
            reading
            for reading in found
            if at - reading.at <= timedelta(days=float(valid[reading.is_check]))
            and (changed is None or changed.at < reading.at)
        ),
        key=lambda reading: (reading.at, reading.pk),
        reverse=True,
    )


def measured(fill: Fill, at: datetime, *, field: str | None = None) -> Reading:
    """The reading to go by; refused when nothing that was measured says what is in the bucket now."""
    found = counting(fill, at)
    if not found:
        last = max((r.at for r in (fill.check_reading, fill.member_reading) if r), default=None)
        so = f"Its last reading was {words.ago(last, at)}" if last else "It was never measured"
        raise Refused(
            f"{fill.vessel.code} has no reading to go by. {so}, or something went in since. "
            "Stir it to the floor and take a reading first.",
            field=field,
        )
    return found[0]


def density_of(fill: Fill, other: Fill | None = None) -> Decimal:
    """Particle density to reckon with (g/mL): its own, else the other's, else the usual."""
    return fill.particle_density or (other and other.particle_density) or ASSUMED_DENSITY


def dry_in_g(volume_l: Decimal, sg: Decimal, powder: Decimal) -> Decimal:
    """Grams of dry glaze in so many litres."""
    if sg <= 1:
        return Decimal(0)
    return rounded(
        1000 * slurry.dry_from_volume(volume_l=float(volume_l), sg=float(sg), rho_s=float(powder)), 3
    )


# --- two into one


def blend(
    fill: Fill, spare: Fill, volume_l: Decimal, at: datetime, *, another_glaze: bool = False, name: str = ""
) -> Blend:
    """What will be in the bucket of ``fill`` when litres of ``spare`` have gone into it.

    Refused: nothing or more than there is, either one held, reported or being made into, over the limit or
    the brim, no reading to go by, or another glaze without having said so.
    """
    if fill.pk == spare.pk:
        raise Refused("Choose another bucket than this one.", field="spare")
    _refuse_amount(spare, volume_l)
    if fill.volume_l <= 0:
        raise Refused(
            f"Nothing is left in {fill.vessel.code}. Empty it, then move the other glaze into it.",
            field="spare",
        )
    for one in (fill, spare):
        refuse_unfit(one)
    same = same_glaze(fill, spare)
    if not same and not another_glaze:
        raise Refused(
            f"{spare.vessel.code} holds {spare.glaze}, not {fill.glaze}. Together they make a third glaze, "
            "in testing, without a window of its own. Say below if that is what you want.",
            field="another_glaze",
        )
    refuse_over_limit(fill.vessel, fill.volume_l + volume_l, there_l=fill.volume_l)
    return _blended(fill, spare, volume_l, at, same, name)


def _blended(fill: Fill, spare: Fill, volume_l: Decimal, at: datetime, same: bool, name: str) -> Blend:
    reading, of_spare = measured(fill, at), measured(spare, at, field="spare")
    sg, spare_sg = reading.sg or Decimal(1), of_spare.sg or Decimal(1)
    dry_g = {
        "fill": dry_in_g(fill.volume_l, sg, density_of(fill, spare)),
        "spare": dry_in_g(volume_l, spare_sg, density_of(spare, fill)),
    }
    if not any(dry_g.values()):
        raise Refused("By their readings both hold nothing but water. Measure again.")
    whole_l = fill.volume_l + volume_l
    shares = dry_shares(dry_g=dry_g)
    testing = not same or Fill.State.TESTING in (fill.state, spare.state)
    return Blend(
        same_glaze=same,
        glaze=fill.glaze if same else (name.strip() or f"Mixed: {fill.glaze} and {spare.glaze}"[:80]),
        leader=fill if shares["fill"] >= shares["spare"] else spare,
        volume_l=whole_l,
        sg=rounded((sg * fill.volume_l + spare_sg * volume_l) / whole_l, 4),
        dry_g=dry_g,
        shares=shares,
        made_of=merged([(dry_g["fill"], made_of(fill)), (dry_g["spare"], made_of(spare))]),
        contents=contents.merged(fill.contents, spare.contents),
        state=Fill.State.TESTING if testing else Fill.State.IN_USE,
        particle_density=_density_of_both(fill, spare, dry_g),
        density_assumed=fill.particle_density is None and spare.particle_density is None,
        spare_left_l=spare.volume_l - volume_l,
        moved_g=rounded(1000 * volume_l * spare_sg, 3),
        spare_reading=of_spare,
        reading=reading,
    )


def _density_of_both(fill: Fill, spare: Fill, dry_g: dict[str, Decimal]) -> Decimal | None:
    if fill.particle_density is None or spare.particle_density is None:
        return fill.particle_density or spare.particle_density
    mean = slurry.mean_density(
        masses=[float(dry_g["fill"]), float(dry_g["spare"])],
        densities=[float(fill.particle_density), float(spare.particle_density)],
    )
    return rounded(mean, 3)


def same_glaze(one: Fill, other: Fill) -> bool:
    """Whether both are of one recipe; without a recipe on record, of one name."""
    if one.recipe_id or other.recipe_id:
        return one.recipe_id == other.recipe_id
    return one.glaze.casefold() == other.glaze.casefold()


# --- one into two


def parting(fill: Fill, vessel: Vessel, volume_l: Decimal, at: datetime) -> Parting:
    """What will be so when litres of ``fill`` have gone into the empty ``vessel``. Refused as ``blend``."""
    _refuse_amount(fill, volume_l)
    refuse_unfit(fill)
    refuse_not_empty(vessel)
    refuse_over_limit(vessel, volume_l)
    readings = tuple(counting(fill, at))
    sg = readings[0].sg if readings else None
    known = sg is not None and fill.particle_density is not None
    return Parting(
        volume_l=volume_l,
        left_l=fill.volume_l - volume_l,
        moved_g=rounded(1000 * volume_l * sg, 3) if sg is not None else None,
        dry_g=dry_in_g(volume_l, sg, density_of(fill)) if known and sg is not None else None,
        readings=readings,
        made_of=made_of(fill),
    )


# --- what forbids it


def _refuse_amount(fill: Fill, volume_l: Decimal) -> None:
    if volume_l <= 0:
        raise Refused("How much went over? It must be more than 0 L.", field="volume_l")
    if volume_l > fill.volume_l:
        raise MoreThanThereIs(fill)


def refuse_unfit(fill: Fill) -> None:
    """Refuse a fill that is held, reported, or being made into."""
    refuse_reports(fill)
    refuse_held(fill)
    _refuse_making(fill.vessel)


def refuse_not_empty(vessel: Vessel) -> None:
    """Refuse a vessel that is away, holds a fill or has a batch made in it."""
    if vessel.state != Vessel.State.IN_SERVICE:
        raise Refused(f"{vessel.code} is put away. Choose another bucket.", field="vessel")
    there = Fill.objects.select_related("vessel").filter(vessel=vessel, emptied_at=None).first()
    if there is not None:
        raise AlreadyFull(there)
    _refuse_making(vessel)


def _refuse_making(vessel: Vessel) -> None:
    batch = Batch.objects.filter(vessel=vessel, state__in=BEING_MADE).first()
    if batch is not None:
        raise Refused(f"Batch {batch.number} is being made in {vessel.code}. Pour or abandon it first.")


def refuse_over_limit(vessel: Vessel, volume_l: Decimal, *, there_l: Decimal = Decimal(0)) -> None:
    """Refuse more than fits, and more than the studio fills a bucket to."""
    if volume_l > rounded(vessel.brim_l(), 3):
        raise OverTheBrim(vessel, volume_l, field="volume_l")
    pct = policy.in_force().fill_limit_pct
    limit = vessel.limit_l(pct)
    if volume_l > rounded(limit, 3):
        room_l = max(Decimal(0), rounded(limit, 3) - there_l)
        raise Refused(
            f"{vessel.code} is filled to {words.litres(limit)} at most ({words.percent(pct)} of the brim); "
            f"that would be {words.litres(volume_l)}. It takes {words.litres(room_l)}"
            f"{' more' if there_l else ''}.",
            field="volume_l",
        )
