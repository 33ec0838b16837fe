from decimal import Decimal

from django.db import models

from studio.quantities import QuantityField, mass_field
from studio.records import AppendOnly


class Scale(models.Model):
    """A weighing scale: its division is the smallest step it shows."""

    name = models.CharField(max_length=40, unique=True)
    division_g = mass_field()
    capacity_g = mass_field()
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Glass(models.Model):
    """A flask or cylinder of known volume, with its tolerance (half-width)."""

    class Kind(models.TextChoices):
        FLASK = "flask", "flask"
        CYLINDER = "cylinder", "cylinder"
        VESSEL = "vessel", "jug, pint or other vessel"

    name = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    volume_ml = QuantityField(places=3)
    tolerance_ml = QuantityField(places=3)
    empty_g = mass_field(null=True, blank=True, help_text="weight when empty, clean and dry")
    calibrated_at = models.DateTimeField(null=True, blank=True, help_text="its volume was found with water")
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "glass"

    def __str__(self) -> str:
        return self.name


class Calibration(AppendOnly):
    """A glass filled with water and weighed: its true volume, from the water's density at that warmth."""

    glass = models.ForeignKey(Glass, models.PROTECT, related_name="calibrations")
    scale = models.ForeignKey(Scale, models.PROTECT, related_name="+")
    empty_g = mass_field()
    full_g = mass_field()
    temperature_c = QuantityField(places=1)
    volume_ml = QuantityField(places=3)
    tolerance_ml = QuantityField(places=3)

    class Meta:
        ordering = ["-at", "-id"]


class Hydrometer(models.Model):
    """A float that shows the gravity: its scale, and the warmth it was made for."""

    class Shows(models.TextChoices):
        SG = "SG", "specific gravity"
        BAUME = "baumé", "degrees Baumé, heavy"
        TWADDELL = "twaddell", "degrees Twaddell"

    name = models.CharField(max_length=40, unique=True)
    shows = models.CharField(max_length=10, choices=Shows.choices, default=Shows.SG)
    modulus = QuantityField(places=2, null=True, blank=True, help_text="of its Baumé scale: 145, 144.3 …")
    division = QuantityField(places=4, help_text="smallest step of its scale, in its own unit")
    calibrated_at_c = QuantityField(places=1, default=20)
    water_reference_c = QuantityField(places=1, default=20, help_text="warmth of the water it calls 1.000")
    expansion_per_c = QuantityField(places=7, default=Decimal("0.000025"), help_text="glass, ISO 1768")
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class FlowCup(models.Model):
    """A cup with a hole: seconds to run empty. ``standard`` names the one it was made to."""

    name = models.CharField(max_length=40, unique=True)
    standard = models.CharField(
        max_length=20, blank=True, help_text="ISO2431-4 …; empty: the studio's own cup"
    )
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
