from decimal import Decimal

from django.db import models
from django.utils import timezone


class Container(models.Model):
    """Something else a label is stuck on: a decanted tub, a weighed pot, test tiles, waste.

    It has a row so that its label has something to be on; the label keeps its own copy of what it says.
    """

    class Kind(models.TextChoices):
        TUB = "tub", "decanted tub"
        POT = "pot", "weighed pot"
        TILES = "tiles", "test tiles"
        WASTE = "waste", "waste"

    kind = models.CharField(max_length=5, choices=Kind.choices)
    capacity_ml = models.PositiveIntegerField(help_text="what it holds when full; the label's size follows")
    lot = models.ForeignKey("materials.Lot", models.PROTECT, null=True, blank=True, related_name="containers")
    what = models.CharField(max_length=120, help_text="what is in it, for a person")
    mix = models.JSONField(default=list, help_text="as of a classification; empty: the lot's material")
    about = models.CharField(max_length=60, blank=True, help_text="plain reference: batch 26-014, line 3")
    made_on = models.DateField(default=timezone.localdate)
    gone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.what}"

    @property
    def capacity_l(self) -> Decimal:
        """What it holds when full, litres."""
        return Decimal(self.capacity_ml) / 1000


class Stock(models.Model):
    """A kind of label sheet or roll: sizes in mm as a person measured them."""

    class Paper(models.TextChoices):
        A4 = "A4", "A4 sheets, 210 × 297 mm"
        LETTER = "Letter", "Letter sheets, 215.9 × 279.4 mm"
        ROLL = "roll", "a roll, one label after the other"

    name = models.CharField(max_length=60, unique=True)
    paper = models.CharField(max_length=6, choices=Paper.choices)
    width_mm = models.DecimalField(max_digits=5, decimal_places=1)
    height_mm = models.DecimalField(max_digits=5, decimal_places=1)
    columns = models.PositiveSmallIntegerField(default=1)
    rows = models.PositiveSmallIntegerField(default=1)
    left_mm = models.DecimalField(max_digits=5, decimal_places=1, default=0)
    top_mm = models.DecimalField(max_digits=5, decimal_places=1, default=0)
    gap_x_mm = models.DecimalField(max_digits=5, decimal_places=1, default=0)
    gap_y_mm = models.DecimalField(max_digits=5, decimal_places=1, default=0)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
