from django.db import models
from django.utils import timezone

from studio.quantities import mass_field, money_field


class Lot(models.Model):
    """One delivery of a material, followed physically. ``on_hand_g`` is kept beside the ledger."""

    class State(models.TextChoices):
        QUARANTINE = "quarantine", "quarantine"
        RELEASED = "released", "released"
        USED_UP = "used up", "used up"
        REJECTED = "rejected", "rejected"

    code = models.CharField(max_length=20, unique=True)
    material = models.ForeignKey("materials.Material", models.PROTECT, related_name="lots")
    supplier = models.CharField(max_length=80, blank=True)
    supplier_lot = models.CharField(max_length=40, blank=True)
    received_on = models.DateField(default=timezone.localdate)
    price_per_kg = money_field(default=0)
    state = models.CharField(max_length=12, choices=State.choices, default=State.QUARANTINE)
    note = models.CharField(max_length=200, blank=True)
    on_hand_g = mass_field(default=0)

    class Meta:
        ordering = ["received_on", "id"]
        indexes = [models.Index(fields=["material", "state", "received_on"], name="lot_oldest_first")]
        constraints = [
            models.CheckConstraint(condition=models.Q(on_hand_g__gte=0), name="lot_never_below_nought")
        ]

    def __str__(self) -> str:
        return self.code
