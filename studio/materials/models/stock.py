from django.db import models

from studio.quantities import mass_field, money_field
from studio.records import AppendOnly


class Movement(AppendOnly):
    """One line of the ledger: mass into a lot (+) or out of it (-), with its money.

    ``what`` is a plain reference to the reason above ("batch 26-014, line 3"). A correction is a
    second movement that ``reverses`` the first.
    """

    class Kind(models.TextChoices):
        RECEIVED = "received", "received"
        OPENING = "opening stock", "opening stock"
        WEIGHED = "weighed", "weighed"
        WRITTEN_OFF = "written off", "written off"
        CORRECTED = "corrected", "corrected"

    lot = models.ForeignKey("materials.Lot", models.PROTECT, related_name="movements")
    material = models.ForeignKey("materials.Material", models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=16, choices=Kind.choices)
    mass_g = mass_field()
    cost = money_field(default=0)
    on_hand_after_g = mass_field()
    what = models.CharField(max_length=60, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["lot", "-id"], name="movement_of_lot"),
            models.Index(fields=["material", "-id"], name="movement_of_material"),
        ]


class Reservation(AppendOnly):
    """One promise of material (+) or its release (-), for a line of a batch named plainly."""

    material = models.ForeignKey("materials.Material", models.PROTECT, related_name="reservations")
    mass_g = mass_field()
    what = models.CharField(max_length=60, help_text="batch 26-014")
    line = models.CharField(max_length=20, help_text="position of the line")

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["what", "material"], name="reservation_for"),
            models.Index(fields=["material", "-id"], name="reservation_of"),
        ]
