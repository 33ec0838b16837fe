from django.db import models
from django.utils import timezone

from studio.quantities import mass_field, sg_field, volume_field


class Request(models.Model):
    """Somebody asks for glaze. The wish is kept as typed and as the dry mass it came to."""

    class State(models.TextChoices):
        ASKED = "asked", "asked"
        APPROVED = "approved", "approved"
        MADE = "made", "made"
        DECLINED = "declined", "declined"
        WITHDRAWN = "withdrawn", "withdrawn"

    class Wish(models.TextChoices):
        LITRES = "litres", "litres at a specific gravity"
        DRY_BASE = "dry base", "dry mass of base"
        DRY_TOTAL = "dry total", "dry mass in all"
        BRING_TO = "bring to", "bring a bucket to an amount"

    number = models.PositiveIntegerField(unique=True)
    version = models.ForeignKey("recipes.Version", models.PROTECT, related_name="requests")
    wish = models.CharField(max_length=10, choices=Wish.choices)
    typed = models.JSONField(default=dict, help_text="the wish as it was typed")
    dry_g = mass_field(help_text="dry glaze to weigh, additions included")
    base_g = mass_field()
    water_l = volume_field()
    to_volume_l = volume_field(help_text="litres afterwards, old glaze included")
    to_sg = sg_field()
    vessel = models.ForeignKey("room.Vessel", models.PROTECT, null=True, blank=True, related_name="requests")
    old_volume_l = volume_field(default=0, help_text="told: litres in the bucket before")
    old_sg = sg_field(null=True, blank=True, help_text="told: SG in the bucket before")
    why = models.CharField(max_length=200, blank=True)
    wanted_on = models.DateField(null=True, blank=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.ASKED)
    by = models.ForeignKey("people.Member", models.PROTECT, related_name="requests")
    at = models.DateTimeField(default=timezone.now)
    decided_by = models.ForeignKey("people.Member", models.PROTECT, null=True, blank=True, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-number"]

    def __str__(self) -> str:
        return f"request {self.number}"
