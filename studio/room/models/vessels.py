from decimal import Decimal

from django.db import models

from studio.quantities import length_field, mass_field, volume_field
from studio.room.calc import vessels as geometry


class Vessel(models.Model):
    """The physical bucket: a truncated cone with inner sizes, an empty weight and a place."""

    class State(models.TextChoices):
        IN_SERVICE = "in service", "in service"
        AWAY = "away", "away"

    code = models.CharField(max_length=12, unique=True)
    bottom_cm = length_field(help_text="inner diameter at the floor")
    top_cm = length_field(help_text="inner diameter at the brim")
    height_cm = length_field(help_text="inner height, floor to brim")
    offset_l = volume_field(default=0, help_text="measured litres minus the cone's, same depth")
    empty_g = mass_field(help_text="weight of the empty bucket without lid")
    place = models.CharField(max_length=60, blank=True)
    state = models.CharField(max_length=12, choices=State.choices, default=State.IN_SERVICE)
    seen_at = models.DateTimeField(null=True, blank=True, help_text="when its label was last scanned")
    seen_place = models.CharField(max_length=60, blank=True, help_text="where it stood then, on record")

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code

    def _sizes(self) -> dict[str, float]:
        return {
            "bottom_cm": float(self.bottom_cm),
            "top_cm": float(self.top_cm),
            "height_cm": float(self.height_cm),
        }

    def volume_at_l(self, depth_cm: float) -> float:
        """Litres at a depth in cm."""
        return geometry.volume_at_depth_l(
            depth_cm=float(depth_cm), offset_l=float(self.offset_l), **self._sizes()
        )

    def depth_of_cm(self, volume_l: float) -> float:
        """Depth in cm at which the vessel holds that many litres."""
        return geometry.depth_of_volume_cm(
            volume_l=float(volume_l), offset_l=float(self.offset_l), **self._sizes()
        )

    def brim_l(self) -> float:
        """Litres up to the brim."""
        return self.volume_at_l(float(self.height_cm))

    def limit_l(self, limit_pct: Decimal) -> float:
        """Litres up to which it is filled: the studio's share of the brim, in per cent."""
        return geometry.fill_limit_l(
            offset_l=float(self.offset_l), limit_pct=float(limit_pct), **self._sizes()
        )
