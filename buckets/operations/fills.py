"""A fill begins and ends: a bucket already on the shelf is taken over, a bucket is emptied."""

import re
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone

from batches.models import Batch
from buckets.afterwards import predicted_sg
from buckets.densities import measured_density
from buckets.errors import AlreadyFull
from buckets.lineage import part
from buckets.models import Fill, Parent, Reading, WriteOff
from buckets.operations.changing import BEING_MADE
from buckets.operations.reclaim import inherit, into_reclaim
from buckets.operations.standing import AHEAD, litres, locked, opened, restate, settles_at_first
from buckets.worth import left_in
from safety.operations.labels import void_labels
from studio.calc.slurry import dry_from_volume
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act, take_number
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded
from studio.recipes.models import Recipe, Version
from studio.room.models import Vessel

HALF_WINDOW = Decimal("0.02")  # common practice, no source
COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


@act("bucket taken over")
def take_over_bucket(
    *,
    vessel: Vessel,
    by: Member,
    recipe: Recipe | None = None,
    glaze: str = "",
    volume_l: Decimal | None = None,
    depth_cm: Decimal | None = None,
    sg: Decimal | None = None,
    u_sg: Decimal | None = None,
    target_sg: Decimal | None = None,
    half_window: Decimal | None = None,
    look: str = "",
    cone: str = "",
    atmosphere: str = "",
    colour: str = "",
    particle_density: Decimal | None = None,
    note: str = "",
    raw: str = "",
    key: UUID | None = None,
    at: datetime | None = None,
) -> Fill:
    """A bucket found with glaze in it becomes a fill: history unknown, in testing until it is released.

    What it is comes from a ``recipe`` (its current version gives target, window, density and contents) or
    from a ``glaze`` name; typed values win over the recipe's. ``volume_l`` or ``depth_cm`` must be said,
    ``sg`` may be. Refused for a vessel that is away or holds a fill, and for more than it can hold.
    """
    vessel = Vessel.objects.select_for_update().get(pk=vessel.pk)
    refuse_unless(by, rights.MAKE)
    _refuse_vessel(vessel)
    at = _when_found(at)
    level_l = litres(vessel, volume_l=volume_l, depth_cm=depth_cm)
    if not level_l or level_l <= 0:
        raise Refused("How much is in it? Give the depth on the stick or the litres.", field="depth_cm")
    version = recipe.current if recipe else None
    told = {
        "look": look,
        "cone": cone,
        "atmosphere": atmosphere,
        "colour": colour,
        "target_sg": target_sg,
        "half_window": half_window,
        "particle_density": particle_density,
    }
    said = _of_recipe(recipe, version, at) | {name: value for name, value in told.items() if value}
    _refuse_numbers(said, sg)
    name = glaze.strip() or _name_of(recipe)
    fill = Fill.objects.create(
        number=take_number("fill"),
        vessel=vessel,
        glaze=name,
        history_unknown=True,
        made_of=[part(version, glaze=name)],
        poured_at=at,
        **said,
    )
    _parent(fill, level_l, sg)
    Reading.objects.create(
        fill=fill,
        sg=sg,
        u_sg=u_sg,
        method=Reading.Method.TYPED,
        depth_cm=depth_cm,
        volume_l=level_l,
        is_check=True,
        note=note.strip() or "as found",
        raw=raw,
        by=by,
        at=at,
    )
    restate(fill)
    return fill


def _refuse_vessel(vessel: Vessel) -> None:
    if vessel.state == Vessel.State.AWAY:
        raise Refused(f"{vessel.code} is put away. Bring it back into service first.", field="vessel")
    there = Fill.objects.select_related("vessel").filter(vessel=vessel, emptied_at=None).first()
    if there:
        raise AlreadyFull(there)


def _when_found(at: datetime | None) -> datetime:
    if at is not None and at > timezone.now() + AHEAD:
        raise Refused("This time is still to come. When was it found?", field="at")
    return at or timezone.now()


def _name_of(recipe: Recipe | None) -> str:
    if recipe is None:
        raise Refused("Which glaze is it? Choose a recipe or type a name.", field="glaze")
    return recipe.name


def _of_recipe(recipe: Recipe | None, version: Version | None, at: datetime) -> dict[str, Any]:
    """What a fill copies from its recipe and the version in force."""
    if recipe is None:
        return {}
    copied: dict[str, Any] = {
        "recipe": recipe,
        "version": version,
        "look": recipe.look,
        "cone": recipe.cone,
        "atmosphere": recipe.atmosphere,
        "colour": recipe.colour,
        "settles_min": settles_at_first(recipe, at, recipe.settles_min),
    }
    if version is not None:
        copied |= {
            "target_sg": version.target_sg,
            "half_window": version.half_window,
            "particle_density": measured_density(version) or version.particle_density,
            "soluble": version.soluble,
            "contents": contents_of(version),
        }
    return copied


def contents_of(version: Version) -> list[dict[str, str]]:
    """Materials of a version with the hazard words on record, in the order of its lines."""
    lines = version.lines.select_related("material").order_by("position")
    return [{"material": line.material.name, "words": line.material.hazard_words} for line in lines]


def _refuse_numbers(said: dict[str, Any], sg: Decimal | None) -> None:
    """Refuse a window without a target, an SG no slurry of this powder has, and a colour that is none."""
    powder = said.get("particle_density") or Decimal("2.2")
    target = said.get("target_sg")
    if said.get("half_window") and target is None:
        raise Refused("A window needs its target.", field="target_sg")
    for name, value in (("sg", sg), ("target_sg", target)):
        if value is not None and not 1 < value < powder:
            raise Refused(f"A glaze lies between 1.00 and {powder:.2f}; {value} does not.", field=name)
    if target is not None:
        said.setdefault("half_window", HALF_WINDOW)
    if said.get("colour") and not COLOUR.fullmatch(said["colour"]):
        raise Refused("A colour is # and six digits, like #6f9aa0.", field="colour")


def _parent(fill: Fill, volume_l: Decimal, sg: Decimal | None) -> None:
    """Found: the one parent of the fill, with its dry mass where SG and density tell it."""
    dry_g = None
    if sg is not None and fill.particle_density is not None:
        dry = dry_from_volume(volume_l=float(volume_l), sg=float(sg), rho_s=float(fill.particle_density))
        dry_g = rounded(dry * 1000, 3)
    Parent.objects.create(fill=fill, version=fill.version, dry_g=dry_g, dry_share=Decimal(1))


@act("bucket emptied", about="fill")
def empty_fill(
    *,
    fill: Fill,
    why: str,
    went: str = WriteOff.Went.ELSEWHERE,
    into: Fill | None = None,
    by: Member,
    raw: str = "",
    key: UUID | None = None,
    at: datetime | None = None,
) -> Fill:
    """The bucket was emptied: its fill ends, its labels are void, and what it held is written off.

    ``went`` says where the glaze went, ``into`` which reclaim bucket took it: then the same act pours it
    in there, and what was known to be in it is said of the reclaim bucket, too. Litres, dry grams and
    their worth stay on record. Refused while a batch is made in it.
    """
    reclaim = _both(fill, into) if into is not None else None
    fill = opened(fill)
    refuse_unless(by, rights.MAKE)
    if not why.strip():
        raise Refused("Say why, and where the glaze went.", field="why")
    if went not in WriteOff.Went.values:
        raise Refused("Where did the glaze go? Choose one.", field="went")
    batch = Batch.objects.filter(vessel=fill.vessel_id, state__in=BEING_MADE).first()
    if batch is not None:
        raise Refused(f"Batch {batch.number} is being made in {fill.vessel.code}. Pour or abandon it first.")
    left, when = left_in(fill), at or timezone.now()
    WriteOff.objects.create(
        fill=fill,
        went=went,
        volume_l=left.volume_l,
        dry_g=left.dry_g,
        value=left.value,
        known_share=left.known_share,
        raw=raw,
        by=by,
        at=when,
    )
    if reclaim is not None:
        _pour_over(fill, reclaim, went, by=by, at=at)
    end_fill(fill, why=why.strip(), at=when)
    return fill


def _both(fill: Fill, into: Fill) -> Fill:
    """The reclaim fill, after both were locked in the order of their numbers."""
    if fill.pk == into.pk:
        raise Refused("A bucket can't be emptied into itself.", field="into")
    rows = {pk: locked(Fill(pk=pk)) for pk in sorted((fill.pk, into.pk))}
    reclaim = rows[into.pk]
    if reclaim.emptied_at or not reclaim.reclaim:
        raise Refused("That is no reclaim bucket any more. Choose another.", field="into")
    return reclaim


def _pour_over(fill: Fill, reclaim: Fill, went: str, *, by: Member, at: datetime | None) -> None:
    if went != WriteOff.Went.RECLAIM:
        raise Refused("It went into a reclaim bucket, or somewhere else? Both were said.", field="went")
    if fill.volume_l <= 0:
        return
    source, sg = f"{fill.vessel.code} {fill.glaze}, fill {fill.number}", predicted_sg(fill)
    into_reclaim(reclaim, fill.volume_l, source, sg=sg, field="into", by=by, at=at)
    inherit(reclaim, fill)


def end_fill(fill: Fill, *, why: str, at: datetime) -> None:
    """Part of an act (emptied, poured over): the fill leaves its vessel and its labels become void."""
    fill.state, fill.emptied_at, fill.emptied_why = Fill.State.EMPTIED, at, why
    fill.save(update_fields=["state", "emptied_at", "emptied_why"])
    fill.reports.filter(held_until=None, held_from__isnull=False).update(held_until=at)
    void_labels(fill, f"{fill.vessel.code} was emptied"[:120], at)
