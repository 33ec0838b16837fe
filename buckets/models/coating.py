from django.db import models

from studio.quantities import QuantityField, mass_field, sg_field
from studio.records import AppendOnly


class Tile(AppendOnly):
    """A tile dipped and weighed: from it come the seconds for one coat.

    A second tile of the same stir, dipped longer, tells the film that clings whatever the seconds are.
    """

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="tiles")
    body = models.ForeignKey("room.Body", models.PROTECT, null=True, blank=True, related_name="+")
    sg = sg_field()
    seconds = QuantityField(places=1)
    area_cm2 = QuantityField(places=1, null=True, blank=True)
    dry_g = mass_field(null=True, blank=True, help_text="dry glaze on it")
    coat_g_per_cm2 = QuantityField(places=4)
    seconds_2 = QuantityField(places=1, null=True, blank=True, help_text="of the second tile")
    coat_2_g_per_cm2 = QuantityField(places=4, null=True, blank=True)
    target_g_per_cm2 = QuantityField(places=4, null=True, blank=True, help_text="the coat this glaze wants")
    note = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["fill", "-at", "-id"], name="tile_of_fill")]
