from django.db import models

from studio.records import AppendOnly


class Details(AppendOnly):
    """Who the studio is, as labels and the binder say it; the newest row counts."""

    class Law(models.TextChoices):
        EU = "EU", "EU (CLP)"
        US = "US", "US (OSHA HCS 2024)"
        UN = "UN", "UN GHS, limits as in CLP"

    name = models.CharField(max_length=80, blank=True)
    address = models.CharField(max_length=200, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    emergency = models.CharField(max_length=200, blank=True, help_text="what to call in an emergency")
    law = models.CharField(max_length=2, choices=Law.choices, default=Law.EU)

    class Meta:
        ordering = ["-id"]
