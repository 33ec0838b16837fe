from django.db import models

from studio.quantities import length_field, mass_field, volume_field
from studio.records import AppendOnly


class Care(AppendOnly):
    """What was done to a fill. A correction is a second row that ``reverses`` the first."""

    class Kind(models.TextChoices):
        STIRRED = "stirred", "stirred"
        WATER_IN = "water in", "water in"
        SIEVED = "sieved", "sieved"

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="care")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    volume_l = volume_field(null=True, blank=True, help_text="water")
    mass_g = mass_field(null=True, blank=True, help_text="powder")
    note = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["fill", "-at", "-id"], name="care_of_fill")]
        verbose_name_plural = "care"


class Use(AppendOnly):
    """Glaze a member took: litres, and how many pieces if they said."""

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="uses")
    volume_l = volume_field()
    pieces = models.PositiveSmallIntegerField(null=True, blank=True)
    depth_cm = length_field(null=True, blank=True)
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["fill", "-at", "-id"], name="use_of_fill")]


class Report(models.Model):
    """Something is wrong with it: holds the fill at once; a technician answers it with a decision."""

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="reports")
    words = models.CharField(max_length=400)
    by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField()
    answered_by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")
    answered_at = models.DateTimeField(null=True, blank=True)
    answer = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
