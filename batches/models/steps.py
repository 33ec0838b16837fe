from django.db import models

from studio.quantities import QuantityField, length_field, mass_field, sg_field, volume_field
from studio.records import AppendOnly


class Weighing(AppendOnly):
    """One pot of powder that went into the bucket: net weight, lot, scale."""

    line = models.ForeignKey("batches.Line", models.PROTECT, related_name="weighings")
    lot = models.ForeignKey("materials.Lot", models.PROTECT, related_name="weighings")
    net_g = mass_field()
    scale = models.ForeignKey("room.Scale", models.PROTECT, null=True, blank=True, related_name="+")
    movement = models.OneToOneField("materials.Movement", models.PROTECT, related_name="weighing")
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["id"]


class Step(AppendOnly):
    """What was done to a batch besides weighing. In-process readings are the batch's own."""

    class Kind(models.TextChoices):
        WATER = "water", "water in"
        SIEVED = "sieved", "sieved"
        READING = "reading", "reading"
        GROSS = "weighed", "bucket weighed"

    batch = models.ForeignKey("batches.Batch", models.PROTECT, related_name="steps")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    water_l = volume_field(null=True, blank=True)
    mesh = models.PositiveIntegerField(null=True, blank=True)
    depth_cm = length_field(null=True, blank=True)
    volume_l = volume_field(null=True, blank=True)
    sg = sg_field(null=True, blank=True)
    u_sg = QuantityField(places=5, null=True, blank=True, help_text="standard uncertainty")
    gross_g = mass_field(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["id"]
