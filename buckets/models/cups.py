from django.db import models

from studio.quantities import mass_field, sg_field, volume_field


class Cup(models.Model):
    """A side cup made from a bucket for layering. It is never poured back: there is no act for it."""

    fill = models.ForeignKey("buckets.Fill", models.PROTECT, related_name="cups")
    use = models.OneToOneField("buckets.Use", models.PROTECT, related_name="cup", help_text="what was taken")
    from_sg = sg_field()
    to_sg = sg_field()
    volume_l = volume_field()
    stock_l = volume_field()
    water_l = volume_field(null=True, blank=True)
    powder_g = mass_field(null=True, blank=True)
    dry_g = mass_field(null=True, blank=True, help_text="dry glaze in it; empty: density not known")
    by = models.ForeignKey("people.Member", models.PROTECT, related_name="+")
    at = models.DateTimeField()
    gone_at = models.DateTimeField(null=True, blank=True, help_text="used up or thrown away")

    class Meta:
        ordering = ["-at", "-id"]
