from django.db import models

from studio.quantities import QuantityField, mass_field


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

    name = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    volume_ml = QuantityField(places=3)
    tolerance_ml = QuantityField(places=3)
    empty_g = mass_field(null=True, blank=True, help_text="weight when empty, clean and dry")
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "glass"

    def __str__(self) -> str:
        return self.name
