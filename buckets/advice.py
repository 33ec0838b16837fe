"""What to add to a bucket, or take off, so that it comes to its target: amounts, from kept facts alone."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from buckets.models import Fill, Reading
from studio.calc import slurry
from studio.quantities import rounded

FIRST_SHARE = Decimal("0.85")  # of the water, then measure again; common practice, no source
BED_SOLIDS = 0.30  # of a settled bed's volume, flocculated; common practice, no source

Way = Literal["thin", "thicken", "at target"]


@dataclass(frozen=True, kw_only=True)
class ToTarget:
    """From one reading to the target. Litres and grams; None where a way is not open or not known.

    ``thin``: ``water_l`` in all, ``first_l`` of it first with the SG that should give, ``volume_l``
    afterwards. ``thicken``: ``powder_g`` of the dry recipe and ``powder_volume_l`` then (None without a
    particle density), or ``leaves_l`` of water gone by standing open, leaving ``left_l``.
    ``may_decant``: that water may be taken off clear, because nothing in the recipe dissolves. Then
    ``clear_l`` is about what will stand clear after a night, and ``dissolved_share`` (0 to 1) what of
    everything dissolved (salts, gum) would go with ``leaves_l``.
    """

    way: Way
    reading: Reading
    from_l: Decimal
    from_sg: Decimal
    to_sg: Decimal
    water_l: Decimal | None = None
    first_l: Decimal | None = None
    after_first_sg: Decimal | None = None
    volume_l: Decimal | None = None
    powder_g: Decimal | None = None
    powder_volume_l: Decimal | None = None
    leaves_l: Decimal | None = None
    left_l: Decimal | None = None
    may_decant: bool = False
    clear_l: Decimal | None = None
    dissolved_share: Decimal | None = None

    @property
    def enough_clear(self) -> bool:
        """Whether so much water will stand clear that the target can be reached by taking it off."""
        return self.clear_l is not None and self.leaves_l is not None and self.leaves_l <= self.clear_l


def newest_reading(fill: Fill) -> Reading | None:
    """The newer of the technician's reading and a member's."""
    both = [reading for reading in (fill.check_reading, fill.member_reading) if reading]
    return max(both, key=lambda reading: (reading.at, reading.pk), default=None)


def to_target(fill: Fill, bed_solids: float = BED_SOLIDS) -> ToTarget | None:
    """What brings the fill from its newest reading to its target; None without target, reading or litres.

    Formulas of thinning, thickening and decanting: ``studio.calc.slurry``, derived from "what the powder
    weighs more than its water stays". ``bed_solids`` is the powder's share of a settled bed's volume.
    What went in after the reading is for the caller to notice.
    """
    reading = newest_reading(fill)
    if reading is None or reading.sg is None or fill.target_sg is None or fill.volume_l <= 0:
        return None
    if reading.sg <= 1 or fill.target_sg <= 1:
        return None
    if reading.sg > fill.target_sg:
        return _thin(fill, reading, reading.sg, fill.target_sg)
    if reading.sg < fill.target_sg:
        return _thicken(fill, reading, reading.sg, fill.target_sg, bed_solids)
    return ToTarget(
        way="at target", reading=reading, from_l=fill.volume_l, from_sg=reading.sg, to_sg=fill.target_sg
    )


def _thin(fill: Fill, reading: Reading, sg: Decimal, target: Decimal) -> ToTarget:
    whole = slurry.thin(volume_l=float(fill.volume_l), sg=float(sg), to_sg=float(target))
    first = Decimal(repr(whole.water_l)) * FIRST_SHARE
    after = slurry.sg_after_water(volume_l=float(fill.volume_l), sg=float(sg), water_l=float(first))
    return ToTarget(
        way="thin",
        reading=reading,
        from_l=fill.volume_l,
        from_sg=sg,
        to_sg=target,
        water_l=rounded(whole.water_l, 3),
        first_l=rounded(first, 3),
        after_first_sg=rounded(after, 4),
        volume_l=rounded(whole.volume_l, 3),
    )


def _thicken(fill: Fill, reading: Reading, sg: Decimal, target: Decimal, bed_solids: float) -> ToTarget:
    water = slurry.thin(volume_l=float(fill.volume_l), sg=float(sg), to_sg=float(target))
    powder_g = powder_volume_l = clear_l = dissolved = None
    may_decant = bool(fill.contents) and not fill.soluble
    if fill.particle_density is not None and target < fill.particle_density:
        powder = slurry.thicken_powder(
            volume_l=float(fill.volume_l),
            sg=float(sg),
            to_sg=float(target),
            rho_s=float(fill.particle_density),
        )
        powder_g, powder_volume_l = rounded(powder.powder_kg * 1000, 0), rounded(powder.volume_l, 3)
        off = slurry.decant(
            volume_l=float(fill.volume_l),
            sg=float(sg),
            to_sg=float(target),
            rho_s=float(fill.particle_density),
            phi_bed=bed_solids,
        )
        if may_decant:
            clear_l = rounded(off.clear_water_available_l, 3)
            dissolved = rounded(min(off.fraction_of_dissolved_lost, 1.0), 4)
    return ToTarget(
        way="thicken",
        reading=reading,
        from_l=fill.volume_l,
        from_sg=sg,
        to_sg=target,
        powder_g=powder_g,
        powder_volume_l=powder_volume_l,
        leaves_l=rounded(-water.water_l, 3),
        left_l=rounded(water.volume_l, 3),
        may_decant=may_decant,
        clear_l=clear_l,
        dissolved_share=dissolved,
    )
