"""How large labels are printed, by what the container holds.

Never under the law's least sizes (``safety.calc.sizes.label_size``; a test compares them): label, side of the
pictogram's square, height of a small x.
"""

from dataclasses import dataclass
from decimal import Decimal

from safety.labelling.measure import X_HEIGHT


@dataclass(frozen=True, kw_only=True)
class Printed:
    """Sizes in mm. ``sides``: the pictogram's side, the usual one first; further ones only where the law
    says "if possible". ``least``: shorter and longer edge of the smallest label allowed."""

    name: str  # a class in label.css, which repeats these figures
    up_to_l: Decimal | None
    width_mm: float
    height_mm: float
    least: tuple[float, float]
    least_binds: bool
    pad_mm: float
    sides: tuple[float, ...]
    text_mm: float
    title_em: float
    qr_mm: float

    @property
    def x_height_mm(self) -> float:
        """Height of a small x in the smallest text."""
        return self.text_mm * X_HEIGHT


# Strictly a fifteenth of the least label asks for sides of 16.02 and 32.19 mm, so they are a little more.
CUP = Printed(
    name="cup", up_to_l=Decimal("0.5"), width_mm=62, height_mm=74, least=(52, 74), least_binds=False,
    pad_mm=2.5, sides=(16.1, 14, 12, 10), text_mm=2.5, title_em=1.8, qr_mm=22,
)  # fmt: skip
SMALL = Printed(
    name="small", up_to_l=Decimal(3), width_mm=62, height_mm=74, least=(52, 74), least_binds=False,
    pad_mm=2.5, sides=(16.1, 14, 12, 10), text_mm=2.9, title_em=1.7, qr_mm=22,
)  # fmt: skip
PAIL = Printed(
    name="pail", up_to_l=Decimal(50), width_mm=148, height_mm=105, least=(74, 105), least_binds=True,
    pad_mm=4.5, sides=(23.1,), text_mm=3.7, title_em=2.3, qr_mm=30,
)  # fmt: skip
DRUM = Printed(
    name="drum", up_to_l=Decimal(500), width_mm=210, height_mm=148, least=(105, 148), least_binds=True,
    pad_mm=7, sides=(32.2,), text_mm=4.15, title_em=2.6, qr_mm=36,
)  # fmt: skip
VAT = Printed(
    name="vat", up_to_l=None, width_mm=210, height_mm=148, least=(148, 210), least_binds=True,
    pad_mm=7, sides=(46.1,), text_mm=4.15, title_em=2.6, qr_mm=36,
)  # fmt: skip
PRINTED = (CUP, SMALL, PAIL, DRUM, VAT)
OUTLINE = 2**0.5  # a square standing on its point is this much wider than its side


def printed_for(capacity_l: Decimal) -> Printed:
    """The sizes for a container that holds ``capacity_l`` litres when full."""
    return next(size for size in PRINTED if size.up_to_l is None or capacity_l <= size.up_to_l)
