"""Side cups: glaze thinned or thickened beside its bucket. A cup is never poured back: no act does that."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone

from buckets.errors import FillHeld, MoreThanThereIs
from buckets.lineage import density_of, dry_in_g, measured
from buckets.models import Cup, Fill, Reading, Report
from buckets.operations.care import log_use
from buckets.operations.labelling import label_cup
from buckets.operations.reports import report
from buckets.operations.standing import moment, opened
from safety.operations.labels import void_labels
from studio import words
from studio.calc import slurry
from studio.errors import Refused
from studio.people import rights
from studio.people.acts import act
from studio.people.doors import refuse_unless
from studio.people.models import Member
from studio.quantities import rounded

LARGEST_L = Decimal(10)  # more than this is a bucket, not a cup
SMALLEST_L = Decimal("0.010")
USED_UP, THROWN_AWAY = "used up", "thrown away"
GONE = (USED_UP, THROWN_AWAY)


@dataclass(frozen=True, kw_only=True)
class Mix:
    """What goes into a cup: litres of stirred stock, then litres of water or grams of dry glaze."""

    reading: Reading
    stock_l: Decimal
    water_l: Decimal | None
    powder_g: Decimal | None
    dry_g: Decimal | None

    @property
    def thinner(self) -> bool:
        """Whether water goes in, and not powder."""
        return self.powder_g is None


def cup_mix(fill: Fill, volume_l: Decimal, to_sg: Decimal, at: datetime) -> Mix:
    """Stock, and water or powder, for a cup of so many litres at ``to_sg`` (slurry reference, d).

    Refused: litres out of bounds, an SG the glaze can't have, no reading to go by, more than there is.
    """
    if not SMALLEST_L <= volume_l <= LARGEST_L:
        raise Refused("A cup holds between 10 mL and 10 L.", field="volume_l")
    reading = measured(fill, at)
    sg = reading.sg or Decimal(1)
    if sg <= 1:
        raise Refused(f"By its reading {fill.vessel.code} holds nothing but water. Measure again.")
    powder = density_of(fill)
    if not 1 < to_sg < powder:
        raise Refused(
            f"A cup of it lies between 1.00 (water) and {words.number(powder, 2)} (its dry powder).",
            field="to_sg",
        )
    mix = _thinner(fill, volume_l, sg, to_sg) if to_sg <= sg else _thicker(fill, volume_l, sg, to_sg)
    if mix["stock_l"] > fill.volume_l:
        raise MoreThanThereIs(fill)
    dry_g = dry_in_g(volume_l, to_sg, powder) if fill.particle_density else None
    return Mix(reading=reading, dry_g=dry_g, **mix)


def _thinner(fill: Fill, volume_l: Decimal, sg: Decimal, to_sg: Decimal) -> dict[str, Any]:
    found = slurry.side_bucket(volume_l=float(volume_l), sg_stock=float(sg), sg_target=float(to_sg))
    stock_l = rounded(found.stock_l, 3)
    return {"stock_l": max(stock_l, Decimal("0.001")), "water_l": volume_l - stock_l, "powder_g": None}


def _thicker(fill: Fill, volume_l: Decimal, sg: Decimal, to_sg: Decimal) -> dict[str, Any]:
    if fill.particle_density is None:
        raise Refused(
            "How much dry glaze thickens it is not known without the density of its powder. "
            "A thinner cup can be made.",
            field="to_sg",
        )
    found = slurry.side_bucket_thicker(
        volume_l=float(volume_l),
        sg_stock=float(sg),
        sg_target=float(to_sg),
        rho_s=float(fill.particle_density),
    )
    return {
        "stock_l": max(rounded(found.stock_l, 3), Decimal("0.001")),
        "water_l": None,
        "powder_g": rounded(1000 * found.powder_kg, 1),
    }


@act("cup made", about="fill")
def make_cup(
    *,
    fill: Fill,
    volume_l: Decimal,
    to_sg: Decimal,
    raw: str = "",
    by: Member,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Cup:
    """A cup of ``volume_l`` litres at ``to_sg`` from a stirred fill; the stock is logged as used.

    Its own small label says that it does not go back. Refused from a held bucket.
    """
    fill = opened(fill)
    refuse_unless(by, rights.USE)
    if fill.held:
        raise FillHeld(fill)
    when = moment(fill, at)
    mix = cup_mix(fill, volume_l, to_sg, when)
    assert mix.reading.sg is not None  # noqa: S101 - a reading to go by has one
    use = log_use(fill=fill, volume_l=mix.stock_l, raw=raw, by=by, at=at)
    cup = Cup.objects.create(
        fill=fill,
        use=use,
        from_sg=mix.reading.sg,
        to_sg=to_sg,
        volume_l=volume_l,
        stock_l=mix.stock_l,
        water_l=mix.water_l,
        powder_g=mix.powder_g,
        dry_g=mix.dry_g,
        by=by,
        at=when,
    )
    label_cup(cup, cup_label_content(cup), by=by, at=at)
    return cup


@act("cup gone", about="cup")
def cup_gone(
    *, cup: Cup, how: str = USED_UP, by: Member, key: UUID | None = None, at: datetime | None = None
) -> Cup:
    """It is used up or thrown away, and its label with it."""
    cup = Cup.objects.select_for_update(of=("self",)).select_related("fill__vessel").get(pk=cup.pk)
    refuse_unless(by, rights.USE)
    if cup.gone_at:
        raise Refused("This cup is gone already.")
    if how not in GONE:
        raise Refused("Used up, or thrown away?", field="how")
    when = moment(cup.fill, at)
    if when < cup.at:
        raise Refused("That is before the cup was made.", field="at")
    cup.gone_at = when
    cup.save(update_fields=["gone_at"])
    void_labels(cup, f"the cup was {how}", when)
    return cup


@act("cup poured back", about="cup", secret=("sender",))
def report_cup(
    *,
    cup: Cup,
    sender: str = "",
    by: Member | None = None,
    key: UUID | None = None,
    at: datetime | None = None,
) -> Report:
    """Somebody says that a cup went back into its bucket: a report of contamination, and the bucket is held.

    Anybody may say so. The cup stays as it is: what became of it is for the technician to find out.
    """
    said = f"A cup of it came back: {words.litres(cup.volume_l)} at {words.sg(cup.to_sg)}"
    return report(
        fill=cup.fill,
        words=f"{said}, made {timezone.localdate(cup.at).isoformat()}. A cup never goes back.",
        sender=sender,
        by=by,
        at=at,
    )


def cup_label_content(cup: Cup) -> dict[str, Any]:
    """Everything printed on the label of a cup, as plain values."""
    return {
        "glaze": cup.fill.glaze,
        "short": short_name(cup.fill.glaze),
        "how": how_of(cup),
        "to_sg": f"{cup.to_sg:.2f}" if cup.to_sg == round(cup.to_sg, 2) else f"{cup.to_sg:.3f}",
        "vessel": cup.fill.vessel.code,
        "fill": cup.fill.number,
        "date": timezone.localdate(cup.at).isoformat(),
        "contents": cup.fill.contents,
        "capacity_l": capacity_of_cup_l(cup.volume_l),
    }


def capacity_of_cup_l(volume_l: Decimal) -> str:
    """What the cup holds when full, litres as text: nobody measures it, so the next usual size up.

    Usual sizes 0.5, 1, 2 and 3 L: common practice, no source.
    """
    return next((size for size in ("0.5", "1", "2", "3") if volume_l <= Decimal(size)), f"{volume_l:f}")


def how_of(cup: Cup) -> str:
    """What was done to it."""
    if cup.to_sg == cup.from_sg:
        return "as it is"
    return "thinned" if cup.to_sg < cup.from_sg else "thickened"


def short_name(glaze: str) -> str:
    """Two or three letters for a narrow strip: "Peat Pool" is PP."""
    return "".join(word[0] for word in glaze.split() if word[0].isalnum()).upper()[:3] or glaze[:3].upper()
