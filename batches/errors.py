"""Why a batch refuses: one class per reason, each with its facts in the sentence."""

from decimal import Decimal

from studio.errors import Refused
from studio.words import grams


class BatchNot(Refused):
    """The batch is in a state in which this cannot be done."""

    def __init__(self, batch, wanted: str) -> None:
        now = f"held ({batch.held_reason})" if batch.held else batch.state
        super().__init__(f"Batch {batch.number} is {now}; {wanted}.")


class WaterFirst(Refused):
    """Powder into water, never water onto powder: less dust, fewer lumps."""

    def __init__(self, batch) -> None:
        super().__init__(
            f"Water first: put {batch.first_water_l.normalize():f} L into the bucket and say so, "
            "then powder goes into it. Water onto powder makes dust and lumps."
        )


class OtherMaterial(Refused):
    """The lot picked holds another material than the line asks for."""

    def __init__(self, line, lot) -> None:
        super().__init__(
            f"Lot {lot.code} is {lot.material.name}; this line is {line.name}. Nothing was saved. "
            "If it is already in the bucket, hold the batch.",
            field="lot",
        )


class OutOfBand(Refused):
    """The sum of the line would lie outside its band."""

    def __init__(self, line, total_g: Decimal, *, may_continue: bool) -> None:
        off = total_g - line.target_g
        side = f"{grams(abs(off))} {'over' if off > 0 else 'under'}, band \u00b1\u00a0{grams(line.band_g)}"
        way = (
            "Take some out while it is still in the pot; if it is in the bucket already, hold the batch."
            if off > 0
            else "Weigh the rest in, or tick that more is to come."
            if may_continue
            else "Weigh the rest in."
        )
        super().__init__(f"{side}. {way}", field="net_g")


class LineDone(Refused):
    """The line was accepted before."""

    def __init__(self, line) -> None:
        super().__init__(f"{line.name} is already in the bucket: {grams(line.weighed_g)}.")


class OverTheScale(Refused):
    """More than the chosen scale can carry."""

    def __init__(self, scale) -> None:
        super().__init__(
            f"{scale.name} carries {grams(scale.capacity_g)} at most, pot included. Weigh in several loads.",
            field="net_g",
        )
