from django.db import models
from django.utils import timezone

from studio.quantities import QuantityField, mass_field, sg_field, volume_field


class Batch(models.Model):
    """One making of one recipe version, with a full copy of it: later edits change nothing here.

    It never reads a fill. What it was told about the bucket stands in ``old_volume_l``/``old_sg``.
    ``held_at`` is set from any state but the last ones and cleared on lifting; the state stays.
    """

    class State(models.TextChoices):
        PLANNED = "planned", "planned"
        WEIGHING = "weighing", "weighing"
        PAUSED = "paused", "paused"
        WET = "wet", "wet"
        TESTING = "testing", "testing"
        RELEASED = "released", "released"
        REJECTED = "rejected", "rejected"
        ABANDONED = "abandoned", "abandoned"

    number = models.CharField(max_length=10, unique=True, help_text="26-014")
    request = models.OneToOneField(
        "batches.Request", models.PROTECT, null=True, blank=True, related_name="batch"
    )
    version = models.ForeignKey("recipes.Version", models.PROTECT, related_name="batches")
    copy = models.JSONField(
        help_text="recipe name, look, cone, version, lines, densities, hazards as they stood"
    )
    vessel = models.ForeignKey("room.Vessel", models.PROTECT, null=True, blank=True, related_name="batches")
    state = models.CharField(max_length=10, choices=State.choices, default=State.PLANNED)
    held_at = models.DateTimeField(null=True, blank=True)
    held_reason = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField(default=timezone.now, help_text="when it was planned")
    frozen_at = models.DateTimeField(null=True, blank=True, help_text="weighing began; targets stand")
    base_g = mass_field()
    dry_g = mass_field()
    water_l = volume_field()
    first_water_l = volume_field()
    hold_back_pct = QuantityField(places=1)
    to_volume_l = volume_field()
    to_sg = sg_field()
    half_window = sg_field()
    particle_density = QuantityField(places=3)
    old_volume_l = volume_field(default=0)
    old_sg = sg_field(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]
        verbose_name_plural = "batches"

    def __str__(self) -> str:
        return f"batch {self.number}"

    @property
    def held(self) -> bool:
        return self.held_at is not None


class Line(models.Model):
    """One line of a batch. Its target is restated once when weighing begins, then frozen.

    ``weighed_g`` is kept beside the weighings; ``done_at`` is set when the sum is in the band.
    """

    batch = models.ForeignKey(Batch, models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10)
    material = models.ForeignKey("materials.Material", models.PROTECT, related_name="batch_lines")
    name = models.CharField(max_length=80)
    hazard_words = models.CharField(max_length=200, blank=True)
    parts = QuantityField(places=4)
    share_pct = QuantityField(places=4, help_text="of the whole dry recipe")
    target_g = mass_field()
    band_g = mass_field()
    scale = models.ForeignKey("room.Scale", models.PROTECT, null=True, blank=True, related_name="+")
    loads = models.PositiveSmallIntegerField(default=1)
    weighed_g = mass_field(default=0)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["batch", "position"], name="batch_line_once")]

    @property
    def missing_g(self):
        """Grams still missing to the target (negative: over it)."""
        return self.target_g - self.weighed_g

    @property
    def off_g(self):
        """Grams over the target (negative: under it)."""
        return self.weighed_g - self.target_g
