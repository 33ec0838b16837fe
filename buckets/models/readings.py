from django.db import models

from studio.quantities import QuantityField, length_field, mass_field, sg_field, volume_field
from studio.records import AppendOnly


class Reading(AppendOnly):
    """One measured specific gravity of a fill. Only a technician's is a ``is_check``.

    A correction is a new row that ``replaces`` the old one; a row with ``sg`` empty takes the old
    one back without putting another in its place.
    """

    class Method(models.TextChoices):
        WEIGHED = "weighed", "known volume weighed"
        TYPED = "typed", "value typed"

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="readings")
    sg = sg_field(null=True, blank=True)
    u_sg = QuantityField(places=5, null=True, blank=True, help_text="standard uncertainty of sg")
    method = models.CharField(max_length=10, choices=Method.choices)
    gross_g = mass_field(null=True, blank=True)
    tare_g = mass_field(null=True, blank=True)
    glass = models.ForeignKey("room.Glass", models.PROTECT, null=True, blank=True, related_name="+")
    scale = models.ForeignKey("room.Scale", models.PROTECT, null=True, blank=True, related_name="+")
    temperature_c = QuantityField(places=1, null=True, blank=True)
    depth_cm = length_field(null=True, blank=True)
    volume_l = volume_field(null=True, blank=True)
    is_check = models.BooleanField()
    note = models.CharField(max_length=200, blank=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["fill", "-at", "-id"], name="reading_of_fill")]
